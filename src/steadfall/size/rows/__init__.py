"""The rows of a size, one file for each kind of part."""
