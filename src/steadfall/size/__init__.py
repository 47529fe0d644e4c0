"""Sizes: what each supply, line, valve, outlet, relief and drain is asked for, and what it gives."""
