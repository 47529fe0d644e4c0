"""A controller that runs its own program against the hot plant of a plan."""
