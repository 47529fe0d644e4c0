"""Which plan a result belongs to, in the names that every result as JSON begins with."""

from __future__ import annotations

from typing import Any

from steadfall.plan.model import Plan

VERSION = 1  # of the names of results


def identity(plan: Plan) -> dict[str, Any]:
    """Title, file as it was named, date of revision, and the SHA-256 of the text."""
    return {
        "title": plan.title,
        "file": plan.at.own.file,
        "revised": plan.revised,
        "digest": plan.digest,
    }
