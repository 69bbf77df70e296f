"""Formulas of the lens: numbers in, numbers out."""
