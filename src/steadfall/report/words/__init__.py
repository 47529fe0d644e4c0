"""Results in sentences and rows of words: the same in the terminal and on a page."""
