"""The laws: boiling, discharge, conduction and convection; small functions, SI in, SI out."""
