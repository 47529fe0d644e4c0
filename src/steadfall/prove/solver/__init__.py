"""The one door to the solver: terms, questions with a budget, answers."""
