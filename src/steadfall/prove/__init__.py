"""Requirements held against every input and scan time, for ever: a certificate or a counterexample."""
