"""Plan text to `Plan`: tree, keys, reading, checks, schema, writing."""
