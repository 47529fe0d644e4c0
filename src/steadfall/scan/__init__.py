"""Networks at work, scan by scan: the interpreter is the meaning, the kernel the fast twin."""
