"""From a plan to its network."""
