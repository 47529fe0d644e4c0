"""What a verdict rests on, in runs and reasons that a person can follow."""
