"""Direct addresses of structured text: one spelling for each place, and which places may be one.

Rule of this file: IEC 61131-3 leaves to the maker whether words are counted in words or in bytes. Two
addresses of different size that meet in either count are not taken for two places. Words of one size are
taken as apart where their numbers differ.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from attrs import define, field, frozen

from steadfall.source import Mark
from steadfall.st.read.space import UnreadableError

BYTES = {"B": 1, "W": 2, "D": 4, "L": 8}  # by the letter of the size; X is a bit
MOST_LETTERS = 40
_ADDRESS = re.compile(r"%([IQM])([XBWDL]?)([0-9]+(?:\.[0-9]+)*)", re.IGNORECASE)
Cell = tuple[str, bool, tuple[int, ...], int]


def canonical(said: str) -> str:
    """An address as it is compared: capitals, a bit with its X, numbers without leading zeros.

    >>> canonical("%q0.01")
    '%QX0.1'
    """
    found = _ADDRESS.fullmatch(said)
    if found is None:
        return said.upper()
    area, size, numbers = found.groups()
    plain = ".".join(number.lstrip("0") or "0" for number in numbers.split("."))
    return f"%{area.upper()}{size.upper() or 'X'}{plain}"


@frozen
class Located:
    """What stands at an address, and where the text says so."""

    address: str
    path: str
    mark: Mark


@define
class Addresses:
    """The addresses that a text uses so far."""

    known: dict[str, Located] = field(factory=dict)
    cells: dict[Cell, Located] = field(factory=dict)

    def add(self, address: str, path: str, mark: Mark) -> None:
        """One more; raises UnreadableError where another one may be the same place."""
        if len(address) > MOST_LETTERS:
            raise UnreadableError(mark, "address", "an address beyond any controller", "such as %QX0.0")
        if address in self.known:
            raise _meets(address, self.known[address], mark, "stands for two variables: also")
        made = self.known[address] = Located(address, path, mark)
        for cell in _cells(address):
            other = self.cells.setdefault(cell, made)
            if _shape(other.address) != _shape(address):
                raise _meets(address, other, mark, "may share its place with")


def _meets(address: str, other: Located, mark: Mark, how: str) -> UnreadableError:
    read = f"'{address}' {how} '{other.address}' in line {other.mark.line}"
    return UnreadableError(mark, "address", read, "one variable for each place")


def _shape(address: str) -> tuple[str, int]:
    return address[2], address.count(".")


def _cells(address: str) -> Iterator[Cell]:
    """The bytes that an address may cover: words counted in bytes, and in words."""
    area, size, numbers = address[1], address[2], [int(one) for one in address[3:].split(".")]
    for in_bytes in (True, False):
        if size == "X":
            *before, bit = numbers
            unit = before.pop() if before else 0
            wide = 1 if in_bytes or bit < 8 else 2
            yield area, in_bytes, tuple(before), unit * wide + bit // 8
        else:
            *before, number = numbers
            first = number if in_bytes else number * BYTES[size]
            for byte in range(first, first + BYTES[size]):
                yield area, in_bytes, tuple(before), byte
