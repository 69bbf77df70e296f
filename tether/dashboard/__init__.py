"""The terminal screen: one widget a file; it reads the record and nothing else."""
