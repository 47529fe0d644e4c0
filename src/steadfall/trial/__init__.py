"""A plan tried by hand: logic and hot plant go on together, a person presses, and goes back in time.

Rule of this room: what is done by hand is kept with its moment, so that the same again gives the same to the
last bit: as a scenario of the plan, or from a moment before.
"""
