"""A run: inputs and times, scan by scan; what plays it, what makes it smaller, how it is stored."""
