"""Every scan of a run, at hand by its number, and a recorded trace as such a run."""
