"""What the parts of a plan mean: what names stand for, what conditions can be, which numbers may be off."""
