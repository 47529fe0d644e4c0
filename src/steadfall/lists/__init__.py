"""Controller code and the lists that go with it, from a plan."""
