"""What an editor needs to complete and check a plan as it is typed."""

from __future__ import annotations

from typing import Any

from steadfall.app.given.document import document
from steadfall.plan.keys.schema import schema

__all__ = ["as_json", "schema"]


def as_json() -> dict[str, Any]:
    """The JSON Schema of a plan, with the head that every result has."""
    return document(None, True, {"schema": schema()})
