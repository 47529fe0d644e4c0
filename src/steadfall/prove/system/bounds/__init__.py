"""The ends of numbers: between which an INT, a TIME or a measured value stays, and what passes its type."""
