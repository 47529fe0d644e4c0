"""A proof as it was stored: read again, and held against the plan that it must belong to."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from steadfall.plan.model import Plan
from steadfall.source import OutsideError, Text

FILE = "proof.json"


def read_stored(folder: Path, plan: Plan, code: Text | None) -> dict[str, Any]:
    """The stored verdicts of this very plan, or of this very text in its place; raises OutsideError."""
    try:
        stored = json.loads((folder / FILE).read_text(encoding="utf-8"))
    except OSError as error:
        raise OutsideError(f"no stored proof can be read in {folder}: {error.strerror or error}") from None
    except ValueError as error:
        raise OutsideError(f"no stored proof can be read in {folder}: {error}") from None
    if not isinstance(stored, dict) or not belongs(stored, plan, code):
        raise OutsideError(
            f"the proof in {folder} is of another plan, another revision of it, or another controller's text"
        )
    return stored


def belongs(stored: Mapping[str, Any], plan: Plan, code: Text | None = None) -> bool:
    """Whether a stored result is of this plan's text, and of this controller's text where there is one."""
    of, by = stored.get("plan"), stored.get("code")
    known = of.get("digest") if isinstance(of, dict) else None
    text = by.get("digest") if isinstance(by, dict) else None
    return known == plan.digest and text == (code.digest if code else None)
