"""The list that came with the panel drawing: read, held against the plan's signals, and used as its wiring.

Rule of this file: a signal of the plan that the list misses, has twice or as another kind, and an address
that is used twice, are problems with their row. Rows whose signal the plan does not know belong to somebody
else and are left alone.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from steadfall.lists.sheet import column
from steadfall.lists.spreadsheet import read_xlsx
from steadfall.lists.wiring import Signal, wiring
from steadfall.plan.model import Io, Plan, Terminal
from steadfall.plan.problems import Problems, near_miss, short
from steadfall.source import Mark, Marks, OutsideError, PlanError

WORDS = ("signal", "terminal", "address", "modbus", "opcua", "kind")
LARGEST = 20_000_000  # bytes

# How drawings write a kind; anything else is taken as unknown and not judged.
KINDS = {
    **dict.fromkeys(("di", "digital input", "binary input", "input digital", "dig in"), "DI"),
    **dict.fromkeys(("do", "digital output", "binary output", "output digital", "dig out"), "DO"),
    **dict.fromkeys(("ai", "analog input", "analogue input", "ana in"), "AI"),
    **dict.fromkeys(("ao", "analog output", "analogue output", "ana out"), "AO"),
}
_ADDRESS = re.compile(r"%([IQM])([XBWDL]?)[0-9]+(\.[0-9]+)*\Z", re.IGNORECASE)
LETTERS = {"DI": "I", "AI": "I", "DO": "Q"}


def panel(plan: Plan) -> Io:
    """The plan's wiring: as written there, or from its list; raises PlanError, OutsideError without the
    file.
    """
    if plan.io.list_file is None:
        return plan.io
    path = Path(plan.at.own.file).parent / plan.io.list_file
    problems = Problems()
    found = _Reading(plan, path.name, _rows(path), problems).terminals()
    if problems:
        raise PlanError(problems.found())
    return Io(terminals=found, list_file=plan.io.list_file, columns=plan.io.columns, at=plan.io.at)


def _rows(path: Path) -> list[list[str]]:
    try:
        if path.stat().st_size > LARGEST:
            raise OutsideError(f"{path.name} is larger than {LARGEST // 1_000_000} MB")
        if path.suffix.lower() == ".xlsx":
            return read_xlsx(path)
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise OutsideError(f"cannot read {path.name}: {error.strerror or error}") from error
    except UnicodeDecodeError:
        raise OutsideError(f"cannot read {path.name}: it is not UTF-8") from None
    first = text.partition("\n")[0]
    separator = max(",;\t", key=first.count)
    try:
        return list(csv.reader(text.splitlines(), delimiter=separator))
    except csv.Error as error:
        raise OutsideError(f"cannot read {path.name}: {error}") from error


class _Reading:
    def __init__(self, plan: Plan, name: str, rows: Sequence[Sequence[str]], problems: Problems) -> None:
        self.plan, self.name, self.rows, self.problems = plan, name, rows, problems
        self.signals = {row.name: row for row in wiring(plan)}
        self.used: dict[tuple[str, str], int] = {}  # (what, address) -> row
        self.places = self._places()

    def _places(self) -> dict[str, int]:
        """Where the columns stand, counted from 0."""
        headings = list(self.rows[0]) if self.rows else []
        found: dict[str, int] = {}
        for word in WORDS:
            asked = self.plan.io.columns.get(word)
            place = column(headings, asked or word)
            if place is not None:
                found[word] = place
            elif asked or word == "signal":
                said = ", ".join(short(heading) for heading in headings[:12]) or "nothing"
                self.problems.add(
                    self._mark(1, 0), "column", word, f"no column '{asked or word}' among {said}", ""
                )
        return found

    def _mark(self, row: int, place: int) -> Mark:
        return Mark(self.name, row, place + 1)

    def terminals(self) -> dict[str, Terminal]:
        """The wiring of every signal of the plan."""
        found: dict[str, Terminal] = {}
        first: dict[str, int] = {}
        if "signal" not in self.places:
            return found
        for number, cells in enumerate(self.rows[1:], 2):
            given = {word: self._cell(cells, word) for word in WORDS}
            name = given["signal"]
            if name not in self.signals:
                continue
            if name in found:
                read = f"'{name}' is already in row {first[name]}"
                self.problems.add(self._at(number, "signal"), "twice", "signal", read, "each signal once")
                continue
            first[name] = number
            self._judge(number, self.signals[name], given)
            marks = Marks(self._mark(number, 0))
            wired = {word: given[word] for word in ("terminal", "address", "modbus", "opcua")}
            found[name] = Terminal(name, **wired, at=marks)
        self._missing(found)
        return found

    def _cell(self, cells: Sequence[str], word: str) -> str:
        place = self.places.get(word)
        return "" if place is None or place >= len(cells) else cells[place].strip().removeprefix("'")

    def _at(self, row: int, word: str) -> Mark:
        return self._mark(row, self.places.get(word, 0))

    def _judge(self, row: int, signal: Signal, given: Mapping[str, str]) -> None:
        kind = KINDS.get(given["kind"].lower(), "")
        if kind and kind != signal.kind:
            read = f"'{signal.name}' is {given['kind']}"
            self.problems.add(self._at(row, "kind"), "wrong-kind", "kind", read, signal.kind)
        self._address(row, signal, given["address"])
        for word, spelled in (
            ("address", _plain_address),
            ("modbus", str.lower),
            ("opcua", str),
            ("terminal", str),
        ):
            self._twice(row, word, given[word], spelled)

    def _address(self, row: int, signal: Signal, address: str) -> None:
        if not address:
            return
        found, expected = _ADDRESS.match(address), f"%{LETTERS[signal.kind]}"
        if found is None:
            read = f"'{short(address)}' is no address"
            self.problems.add(
                self._at(row, "address"), "address", "address", read, "one", example=f"{expected}X0.0"
            )
            return
        letter, size = found.group(1).upper(), found.group(2).upper() or "X"
        fits = letter in (LETTERS[signal.kind], "M") and (size == "X") == (signal.type == "BOOL")
        if not fits:
            read = f"'{signal.name}' ({signal.kind}) stands at {address}"
            self.problems.add(
                self._at(row, "address"), "wrong-kind", "address", read, f"an address at {expected}"
            )

    def _twice(self, row: int, word: str, value: str, spelled: Callable[[str], str]) -> None:
        if not value:
            return
        earlier = self.used.setdefault((word, spelled(value)), row)
        if earlier != row:
            read = f"'{short(value)}' is already in row {earlier}"
            self.problems.add(self._at(row, word), "address-twice", word, read, "an address of its own")

    def _missing(self, found: Mapping[str, Terminal]) -> None:
        others = {self._cell(cells, "signal"): number for number, cells in enumerate(self.rows[1:], 2)}
        for name in self.signals:
            if name not in found:
                near = near_miss(name, [other for other in others if other and other not in self.signals])
                hint = f"; row {others[near]} has '{near}'" if near else ""
                last = self._mark(len(self.rows), self.places["signal"])
                self.problems.add(
                    last, "missing", "signal", f"'{name}' is not in the list{hint}", "every signal"
                )


def _plain_address(text: str) -> str:
    """An address as it is compared: capitals, and a bit is a bit whether its X is written or not."""
    return re.sub(r"^%([IQM])([0-9])", r"%\1X\2", text.upper())
