"""Structured text as a network."""
