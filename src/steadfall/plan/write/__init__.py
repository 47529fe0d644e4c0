"""A plan back to text."""
