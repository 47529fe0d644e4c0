"""A new plan out of a few answers: what is asked, and the commented text that comes of it."""
