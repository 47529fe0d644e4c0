"""What only a person at a page does with a plan: type it, turn its numbers, try it by hand."""
