"""Formulas of the picture: how wide its edges are, in which direction, and how sure that is."""
