"""What would have to change for a signal to have another value."""
