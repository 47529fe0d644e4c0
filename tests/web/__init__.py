"""The page: its guard, its desk, its views."""
