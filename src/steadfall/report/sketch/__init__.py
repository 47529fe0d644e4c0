"""Sketches of a plan: its piping with valves at rest, its stages as a table of strips."""
