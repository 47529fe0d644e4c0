"""What a run came to: figures, limits and goals, verdicts, what it did to the plant, what many runs say."""
