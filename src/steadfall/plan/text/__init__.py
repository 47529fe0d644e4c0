"""The text of a plan: YAML with places, the words of a condition, and values laid out as text again."""
