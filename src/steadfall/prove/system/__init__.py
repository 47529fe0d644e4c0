"""The network as a transition system for a solver, and the way back from its answers to scans."""
