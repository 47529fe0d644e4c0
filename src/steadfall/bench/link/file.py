"""The link file: the controller's address, who logs in and how, and places that the plan's wiring lacks.

Rule of this file: no secret stands here. A password comes from the environment, keys are files of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from attrs import asdict, evolve, field, frozen

from steadfall.bench.link.wires import Form, Wire, register
from steadfall.logic.nodes import Type
from steadfall.plan.problems import Problems
from steadfall.plan.text.decode import decoded
from steadfall.plan.text.tree import Entry, Scalar, Table, read_tree
from steadfall.source import NOWHERE, Mark, OutsideError, PlanError
from steadfall.units import QuantityError, milliseconds

LARGEST = 1_000_000  # bytes
CYCLE_MS, SETTLE_MS = 50, 5_000
LEAST_CYCLE_MS, MOST_CYCLE_MS = 10, 1_000
OPCUA, MODBUS = "opc.tcp://", "modbus.tcp://"
HIGH_FIRST, LOW_FIRST = "high first", "low first"
PASSWORD = "STEADFALL_BENCH_PASSWORD"  # noqa: S105  (the name of a variable)
EXAMPLE = "opc.tcp://192.168.0.20:4840/"


@frozen
class Access:
    """How to come in: the user, and files of keys. The password is typed, or asked of the environment."""

    user: str = ""
    certificate: Path | None = None
    key: Path | None = None
    server_certificate: Path | None = None  # pinned: without it a client trusts any server
    password: str = field(default="", repr=False)  # never kept: not in a file, a log, or evidence


@frozen
class LinkFile:
    """An address, and what is needed to use it."""

    address: str
    device: int = 1  # Modbus
    listen: bool = False  # Modbus: the controller is the client, and the bench serves at the address
    low_word_first: bool = False  # Modbus
    cycle_ms: int = CYCLE_MS  # how often outputs are read and inputs written
    settle_ms: int = SETTLE_MS  # how long the controller may take to come to rest before a session
    access: Access = field(factory=Access)
    places: Mapping[str, Wire] = field(factory=dict)  # by signal; their type and way are not known here
    mark: Mark = NOWHERE
    text: str = field(default="", repr=False)

    @property
    def is_opcua(self) -> bool:
        """Whether OPC UA is spoken there."""
        return self.address.startswith(OPCUA)


def with_access(link: LinkFile, typed: Access) -> LinkFile:
    """The same link, with what was typed in the place of what it says."""
    given = {name: value for name, value in asdict(typed, recurse=False).items() if value}
    return evolve(link, access=evolve(link.access, **given))


def is_address(text: str) -> bool:
    """Whether a text is an address and no file."""
    return text.startswith((OPCUA, MODBUS))


def read_link(file_or_address: str) -> LinkFile:
    """A link file, or an address alone. Raises PlanError with all problems, OutsideError without the file."""
    if is_address(file_or_address):
        return LinkFile(file_or_address)
    path = Path(file_or_address)
    try:
        if path.stat().st_size > LARGEST:
            raise OutsideError(f"{path} is larger than {LARGEST // 1_000_000} MB")
        text = decoded(path.read_bytes(), path.name)
    except OSError as error:
        raise OutsideError(f"cannot read {path}: {error.strerror or error}") from error
    return link_of(text, path.name, path.parent)


def link_of(text: str, name: str, folder: Path) -> LinkFile:
    """A link file from its text; files that it names lie beside it."""
    problems = Problems()
    tree = read_tree(text, name, problems)
    given: dict[str, Any] = {"text": text, "mark": tree.mark}
    if isinstance(tree, Table):
        for entry in tree.entries:
            _KEYS.get(entry.key.text, _unknown)(entry, given, problems)
    else:
        problems.add(
            tree.mark, "wrong-shape", "", "no link file", "lines of keys", example=f"address: {EXAMPLE}"
        )
    if not problems and "address" not in given:
        problems.add(tree.mark, "missing", "address", "no address", "that of the controller", example=EXAMPLE)
    if problems:
        raise PlanError(problems.found(), text)
    paths = {key: folder / given.pop(key) for key in _FILES if key in given}
    return LinkFile(access=Access(user=given.pop("user", ""), **paths), **given)


def _word(entry: Entry, problems: Problems, expected: str, example: str) -> str:
    if isinstance(entry.value, Scalar) and entry.value.text:
        return entry.value.text
    problems.add(entry.value.mark, "wrong-shape", entry.key.text, "no text", expected, example=example)
    return ""


def _address(entry: Entry, given: dict[str, Any], problems: Problems) -> None:
    text = _word(entry, problems, "an address", EXAMPLE)
    if text and not is_address(text):
        problems.add(entry.value.mark, "wrong-value", "address", f"'{text}'",
                     f"an address that begins with {OPCUA} or {MODBUS}", example=EXAMPLE)  # fmt: skip
    given["address"] = text


def _device(entry: Entry, given: dict[str, Any], problems: Problems) -> None:
    text = _word(entry, problems, "a number from 0 to 255", "1")
    if text and not (text.isdigit() and int(text) <= 255):
        problems.add(
            entry.value.mark, "wrong-value", "device", f"'{text}'", "a number from 0 to 255", example="1"
        )
    elif text:
        given["device"] = int(text)


def _time(entry: Entry, given: dict[str, Any], problems: Problems) -> None:
    key = entry.key.text
    text = _word(entry, problems, "a time", "50 ms")
    try:
        ms = milliseconds(text) if text else CYCLE_MS
    except QuantityError as error:
        problems.misread(entry.value.mark, key, error)
        return
    if key == "cycle" and not LEAST_CYCLE_MS <= ms <= MOST_CYCLE_MS:
        expected = f"{LEAST_CYCLE_MS} to {MOST_CYCLE_MS} ms"
        problems.add(entry.value.mark, "wrong-value", key, f"'{text}'", expected, example="50 ms")
    given[f"{key}_ms"] = ms


def _word_order(entry: Entry, given: dict[str, Any], problems: Problems) -> None:
    text = _word(entry, problems, f"{HIGH_FIRST} or {LOW_FIRST}", HIGH_FIRST)
    if text and text not in (HIGH_FIRST, LOW_FIRST):
        problems.add(
            entry.value.mark, "wrong-value", "word_order", f"'{text}'", f"{HIGH_FIRST} or {LOW_FIRST}"
        )
    given["low_word_first"] = text == LOW_FIRST


def _text(entry: Entry, given: dict[str, Any], problems: Problems) -> None:
    given[entry.key.text] = _word(entry, problems, _FILES.get(entry.key.text, "a name"), "bench.pem")


def _listen(entry: Entry, given: dict[str, Any], problems: Problems) -> None:
    text = _word(entry, problems, "yes or no", "yes")
    if text and text not in ("yes", "no"):
        problems.add(entry.value.mark, "wrong-value", "listen", f"'{text}'", "yes or no", example="yes")
    given["listen"] = text == "yes"


def _signals(entry: Entry, given: dict[str, Any], problems: Problems) -> None:
    if not isinstance(entry.value, Table):
        problems.add(entry.value.mark, "wrong-shape", "signals", "no table", "a line a signal",
                     example="upper.mist: {modbus: coil 3}")  # fmt: skip
        return
    given["places"] = {row.key.text: _place(row, problems) for row in entry.value.entries}


def _place(row: Entry, problems: Problems) -> Wire:
    name, wire = row.key.text, Wire(row.key.text, Type.BOOL, False, mark=row.key.mark)
    if not isinstance(row.value, Table):
        problems.add(row.value.mark, "wrong-shape", name, "no place", "a node or a register",
                     example="{modbus: coil 3}")  # fmt: skip
        return wire
    for part in row.value.entries:
        key = part.key.text
        if key not in _PLACE:
            problems.unknown(part.key.mark, name, key, "key of a place", _PLACE)
            continue
        text = _word(part, problems, _PLACE[key], "coil 3")
        if text:
            wire = _filled(wire, key, text, part.value.mark, problems)
    return wire


def _filled(wire: Wire, key: str, text: str, mark: Mark, problems: Problems) -> Wire:
    if key == "opcua":
        return evolve(wire, node=text)
    if key == "modbus" and (found := register(text)):
        return evolve(wire, register=found)
    if key == "type" and text in set(Form):
        return evolve(wire, form=Form(text))
    if key == "scale" and _number(text):
        return evolve(wire, scale=float(text))
    problems.add(mark, "wrong-value", f"{wire.signal}.{key}", f"'{text}'", _PLACE[key], example=_LIKE[key])
    return wire


def _number(text: str) -> bool:
    try:
        return 1e-9 < abs(float(text)) < 1e9
    except ValueError:
        return False


def _unknown(entry: Entry, _given: dict[str, Any], problems: Problems) -> None:
    problems.unknown(entry.key.mark, "", entry.key.text, "key of a link file", _KEYS)


_FILES = {"certificate": "a file", "key": "a file", "server_certificate": "a file"}
_PLACE = {
    "opcua": "an OPC UA node",
    "modbus": "a Modbus table and number",
    "type": f"one of {', '.join(Form)}",
    "scale": "a number that is not 0",
}
_LIKE = {"opcua": "ns=2;s=upper.mist", "modbus": "coil 3", "type": "float32", "scale": "10"}
_KEYS: Mapping[str, Callable[[Entry, dict[str, Any], Problems], None]] = {
    "address": _address, "cycle": _time, "settle": _time,
    "device": _device, "word_order": _word_order, "user": _text, "certificate": _text,
    "key": _text, "server_certificate": _text, "signals": _signals,
    "listen": _listen,
}  # fmt: skip


def joined(wires: list[Wire], link: LinkFile) -> list[Wire]:
    """The wires of a plan with the places of a link file. Raises PlanError where they do not fit."""
    problems = Problems()
    known = {wire.signal: wire for wire in wires}
    for name, place in link.places.items():
        if name not in known:
            problems.unknown(place.mark, "signals", name, "signal of this controller", known)
            continue
        wire = known[name]
        form = wire.form if place.form is Form.BIT else place.form
        known[name] = evolve(
            wire, node=place.node or wire.node, register=place.register or wire.register,
            form=form, scale=place.scale, mark=place.mark,
        )  # fmt: skip
    for wire in known.values():
        _judge(wire, link, problems)
    if problems:
        raise PlanError(problems.found(), link.text)
    return [wire for wire in known.values() if has_place(wire, link)]


def has_place(wire: Wire, link: LinkFile) -> bool:
    """Whether a signal is found in the controller, by the protocol of a link."""
    return bool(wire.node) if link.is_opcua else wire.register is not None


def _judge(wire: Wire, link: LinkFile, problems: Problems) -> None:
    mark, place = (wire.mark if str(wire.mark) else link.mark), wire.register
    if not has_place(wire, link):
        if wire.needed:
            what, like = ("node", "ns=2;s=upper.mist") if link.is_opcua else ("register", "coil 3")
            problems.add(mark, "no-place", wire.signal, f"it has no {what}",
                         "one in the plan's `io` or in the link file", example=like)  # fmt: skip
        return
    if link.is_opcua or place is None:
        return
    if wire.is_input is not link.listen and not place.table.writable:  # a client writes it
        who = "controller" if link.listen else "bench"
        read, like = f"the {who} writes it, and a {place.table} cannot be written", "holding register 10"
        problems.add(mark, "not-writable", wire.signal, read, "a coil or a holding register", example=like)
    if place.table.of_bits and wire.type is not Type.BOOL:
        read = f"it is a {wire.type.value}, and a {place.table} is one bit"
        problems.add(mark, "wrong-type", wire.signal, read, "a register", example="input register 10")
