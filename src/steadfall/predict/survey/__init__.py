"""Many runs of one plan: bands and odds."""
