"""What is said of a recording."""
