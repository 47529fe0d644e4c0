"""The one table of keys, and what follows from it: reading rows, schema, reference."""
