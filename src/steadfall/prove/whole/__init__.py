"""All that is proved of a plan, with and without faults, and stored proofs checked again."""
