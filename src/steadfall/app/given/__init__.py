"""What uses are handed and what they hand out: files, times, texts, traces, stored proofs; who runs."""
