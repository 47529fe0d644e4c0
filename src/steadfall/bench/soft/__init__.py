"""A controller in software: it scans, in its own time or on the clock, and serves."""
