"""A plan tried by hand."""
