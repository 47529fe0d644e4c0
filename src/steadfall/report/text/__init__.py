"""Results in a terminal, as aligned plain text."""
