"""What a session writes down, a line a cycle, before the next cycle begins.

Rule of this file: a line is with the system once `add` has returned, so that a bench that is killed has all
cycles but the one under way. A line that was cut off is no line.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

from attrs import frozen

from steadfall.logic.nodes import Value
from steadfall.source import OutsideError

CYCLES, HEAD = "cycles.jsonl", "session.json"


@frozen
class Span:
    """One request: when, in ms of the session, and what it changed; all at one moment between the two."""

    begin: float
    end: float
    values: Mapping[str, Value]

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/bench.md)."""
        return {"begin_ms": self.begin, "end_ms": self.end, "values": dict(self.values)}


@frozen(eq=False)
class Row:
    """One cycle: outputs as they were read, request by request, then inputs as they were written."""

    cycle: int
    plant_ms: int
    reads: tuple[Span, ...]
    writes: tuple[Span, ...]
    late: bool = False
    power: tuple[float, float] | None = None  # between which ms the controller was switched off and on before

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/bench.md)."""
        return {
            "cycle": self.cycle,
            "plant_ms": self.plant_ms,
            "reads": [one.as_json() for one in self.reads],
            "writes": [one.as_json() for one in self.writes],
            "late": self.late,
            **({"power_ms": list(self.power)} if self.power else {}),
        }


def lives(rows: Sequence[Row]) -> list[Sequence[Row]]:
    """A recording in parts: the controller had power all through each."""
    begins = [0, *(at for at, row in enumerate(rows) if at and row.power)]
    return [rows[begin:end] for begin, end in pairwise([*begins, len(rows)])]


@frozen(eq=False)
class Recording:
    """A session as it was written down."""

    head: Mapping[str, Any]
    rows: tuple[Row, ...]
    ended: str  # why; "" where it was cut off


class Journal:
    """A folder of evidence that is being written. Raises OutsideError where it cannot be, or is in use."""

    def __init__(self, folder: Path, head: Mapping[str, Any], texts: Mapping[str, str]) -> None:
        self.folder = folder
        try:
            folder.mkdir(parents=True, exist_ok=True)
            if (folder / CYCLES).exists():
                raise OutsideError(f"{folder} holds a session already; evidence is never written over")
            for name, text in {**texts, HEAD: json.dumps(head, indent=2) + "\n"}.items():
                (folder / name).write_text(text, encoding="utf-8")
            self._file = os.open(folder / CYCLES, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_APPEND, 0o644)
        except OSError as error:
            raise OutsideError(f"cannot write into {folder}: {error.strerror or error}") from error

    def add(self, row: Row) -> None:
        """One more cycle."""
        self._line(row.as_json())

    def end(self, why: str) -> None:
        """The session is over."""
        self._line({"ended": why})
        os.fsync(self._file)
        os.close(self._file)

    def _line(self, what: Mapping[str, Any]) -> None:
        data = json.dumps(what, separators=(",", ":")).encode() + b"\n"
        try:
            if os.write(self._file, data) != len(data):
                raise OutsideError(f"cannot write into {self.folder}: the disk is full")
        except OSError as error:
            raise OutsideError(f"cannot write into {self.folder}: {error.strerror or error}") from error


def read_recording(folder: Path) -> Recording:
    """A session from its folder. Raises OutsideError where it is none."""
    try:
        head = json.loads((folder / HEAD).read_text(encoding="utf-8"))
        lines = (folder / CYCLES).read_bytes().splitlines(keepends=True)
    except (OSError, ValueError) as error:
        raise OutsideError(f"{folder} holds no session: {error}") from error
    found = list(_whole(lines))
    ended = next((one["ended"] for one in found if "ended" in one), "")
    try:
        return Recording(head, tuple(_row(one) for one in found if "cycle" in one), ended)
    except (KeyError, TypeError) as error:
        raise OutsideError(f"{folder / CYCLES} is damaged: {error}") from error


def whole_rows(data: bytes) -> list[Row]:
    """The cycles in a part of a journal."""
    return [_row(one) for one in _whole(data.splitlines(keepends=True)) if "cycle" in one]


def _whole(lines: Iterable[bytes]) -> Iterator[dict[str, Any]]:
    for line in lines:
        if not line.endswith(b"\n"):
            return
        try:
            yield json.loads(line)
        except ValueError:
            return


def _row(one: Mapping[str, Any]) -> Row:
    reads, writes = (tuple(_span(part) for part in one[which]) for which in ("reads", "writes"))
    power = tuple(one["power_ms"]) if "power_ms" in one else None
    return Row(one["cycle"], one["plant_ms"], reads, writes, one["late"], power)


def _span(one: Mapping[str, Any]) -> Span:
    return Span(one["begin_ms"], one["end_ms"], one["values"])
