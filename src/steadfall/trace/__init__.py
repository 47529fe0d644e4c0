"""Named signals over time, and the ways to and from files: JSON, wide tables, CSV, data frames."""
