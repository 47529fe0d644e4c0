"""One run of a controller against the plant, and what is written down of it."""
