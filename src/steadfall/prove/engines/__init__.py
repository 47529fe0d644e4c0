"""One way to settle a question a file; each can be switched off, none knows of the others."""
