"""Rows of the plan to typed data."""
