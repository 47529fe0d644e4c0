"""What a person does at the controller means: hand mode, stepping on, letting go, a test of valves."""
