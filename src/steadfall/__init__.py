"""Steadfall: from a cooling plan to a predicted cool-down."""

__version__ = "0.1.0"
