"""Judges a plan that could be read."""
