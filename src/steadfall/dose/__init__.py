"""The search for doses that reach the goals soonest, with least water, or with least wear."""
