"""Structured text (IEC 61131-3): reading a controller's program, writing the plan's."""
