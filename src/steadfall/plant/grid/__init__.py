"""From a plan to the arrays of the kernel, and from its arrays back to balances and notes."""
