"""What every page of the project is made of: one template language, one style sheet, one way to a file."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from steadfall import __version__
from steadfall.extras import opened
from steadfall.quantities import clock
from steadfall.report.words.names import spoken
from steadfall.report.words.times import took
from steadfall.source import OutsideError

HERE = Path(__file__).parent


BLANK = "\N{NO-BREAK SPACE}" * 18  # where a person writes a date or a name


def filled(template: str, content: Mapping[str, Any]) -> str:
    """A page as text, with the style sheet and the script in it.

    Raises OutsideError when jinja2 is not installed.
    """
    style = "".join((HERE / name).read_text(encoding="utf-8") for name in ("tokens.css", "sheet.css"))
    script = (HERE / "figure.js").read_text(encoding="utf-8")
    fixed = {"style": style, "script": script, "version": __version__, "blank": BLANK, "dated": ""}
    door = opened("steadfall.report.page.template")
    filters = {"clock": clock, "spoken": spoken, "took": took}
    made: str = door.rendered(HERE, template, filters, {**fixed, **content})
    return made


def script_safe(data: Mapping[str, Any]) -> str:
    """JSON that cannot end the script element it stands in."""
    return (
        json.dumps(data, separators=(",", ":"), sort_keys=True)
        .replace("<", "\\u003c")
        .replace("&", "\\u0026")
    )


def written(text: str, path: Path) -> Path:
    """Write a page and give its path.

    Raises OutsideError when the folder cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise OutsideError(f"cannot write {path}: {error.strerror or error}") from error
    return path
