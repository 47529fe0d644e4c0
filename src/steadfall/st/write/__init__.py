"""A network as structured text."""
