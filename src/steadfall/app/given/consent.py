"""What a person types before a controller is driven; apart, so that a page asks for it and loads no more."""

from __future__ import annotations

CONFIRM = "the field side is isolated"
