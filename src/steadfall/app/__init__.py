"""The uses of Steadfall: typed, printing nothing; the command line and Python users stand on them alike."""
