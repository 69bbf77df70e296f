"""The page for a tablet or phone on the set; reads the record, nothing else."""
