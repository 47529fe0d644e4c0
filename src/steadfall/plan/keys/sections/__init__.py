"""The keys of each section of a plan, one file a subject."""
