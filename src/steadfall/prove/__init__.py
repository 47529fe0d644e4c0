"""Requirements held against every input and every scan time, for ever: verdicts with a certificate or a counterexample."""
