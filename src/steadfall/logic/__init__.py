"""What the controller does: a plan's sequences as a network of named signals, and signals over time."""
