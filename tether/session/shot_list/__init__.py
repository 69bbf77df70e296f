"""The shot list as it comes from outside: a TOML or CSV file, or a folder's subfolders."""
