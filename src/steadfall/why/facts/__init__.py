"""What the value of a signal in one scan can rest on."""
