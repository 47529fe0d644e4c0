"""What counts as a hang. Not a speed: `make bench` measures speed, and tests never judge it."""

HANG_S = 120.0
