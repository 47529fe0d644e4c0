"""Figures and documents: what a prediction looks like on paper, in a terminal and in a table."""
