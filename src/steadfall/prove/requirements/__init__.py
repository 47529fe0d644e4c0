"""What must hold: sentences of the plan, and those that follow from it, as signals under its network."""
