"""The verdict on a requirement: what is asked of which engine, and what its answer is worth."""
