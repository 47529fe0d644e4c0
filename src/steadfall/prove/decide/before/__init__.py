"""What was found before: kept on disk or in memory, and looked for there first."""
