"""Pages for the browser: one HTML file each that needs nothing else."""
