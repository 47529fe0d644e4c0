"""Two revisions of a plan: what they say differently, and which names stand for one thing."""
