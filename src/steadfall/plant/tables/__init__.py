"""Tables of coefficients over pressure and temperature that the kernel reads, and what makes them."""
