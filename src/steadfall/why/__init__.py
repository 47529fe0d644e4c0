"""Why a signal has its value: the least set of facts that made it, back to the inputs and the moments they
changed.
"""
