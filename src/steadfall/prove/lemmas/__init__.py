"""Proof by lemmas that samples suggest: the goals of a circuit in one system, and what every scan keeps."""
