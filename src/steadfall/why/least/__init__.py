"""The least set of facts that made a value."""
