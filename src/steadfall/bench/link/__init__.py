"""Where a controller is found, and what goes to and fro: places, exchanges, the two protocols."""
