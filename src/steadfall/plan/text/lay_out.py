"""Values and rows laid out as YAML text.

Rule of this file: layout only; `plan.write.whole` says what is written.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable

from steadfall.plan.model.setting import Level, Preset
from steadfall.quantities import how_long
from steadfall.units import written

# Texts that stand plain in any place; all others are quoted.
_PLAIN = re.compile(r"[A-Za-z0-9_](?:[A-Za-z0-9_ .%/()<>=+;-]*[A-Za-z0-9_.%/()])?\Z")
_BREAKS = {"\x7f": "\\x7f", "\x85": "\\x85", "\u2028": "\\u2028", "\u2029": "\\u2029", "\ufeff": "\\ufeff"}

Pairs = Iterable[tuple[str, str | None]]


def scalar(text: str) -> str:
    """A text as a YAML scalar, quoted where it must be."""
    if _PLAIN.match(text):
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    return "".join(_BREAKS.get(letter) or _escaped(letter) for letter in quoted)


def _escaped(letter: str) -> str:
    return f"\\x{ord(letter):02x}" if "\x80" <= letter <= "\x9f" else letter


def flow(pairs: Pairs) -> str:
    """A table in one line; pairs without a value are left out."""
    return "{" + ", ".join(f"{scalar(key)}: {value}" for key, value in pairs if value is not None) + "}"


def items(values: Iterable[str]) -> str:
    """A list in one line."""
    return "[" + ", ".join(values) + "]"


def block(key: str, lines: Iterable[str], indent: int = 0) -> list[str]:
    """A key and indented lines below it; nothing where there are none."""
    below = list(lines)
    pad = " " * indent
    return [f"{pad}{scalar(key)}:", *(f"{pad}  {line}" for line in below)] if below else []


def time(ms: int) -> str:
    """A time that the controller counts; one that hangs on settings by their names."""
    return ms.words if isinstance(ms, Preset) else how_long(ms)


def level(value: float, dimension: str) -> str:
    """A measured value; one that is a setting by its name."""
    return value.of.name if isinstance(value, Level) else written(value, dimension)
