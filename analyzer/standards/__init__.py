"""Class standards: what a class must contain and how far off is still right, as TOML files."""
