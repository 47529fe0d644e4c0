"""Facts and changes as sentences."""
