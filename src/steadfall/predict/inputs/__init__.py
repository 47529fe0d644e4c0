"""What the inputs do over time in a run, and what a scenario sets."""
