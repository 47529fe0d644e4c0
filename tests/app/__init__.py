"""The uses of Steadfall from Python."""
