"""Runs of the controller on made-up inputs, before and beside any solver."""
