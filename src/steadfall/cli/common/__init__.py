"""What the commands share: options that several have, errors as sentences, progress, the terminal."""
