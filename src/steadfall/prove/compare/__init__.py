"""Two controllers held against each other: equal for ever, or the run on which they part."""
