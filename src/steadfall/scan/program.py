"""A network as a program for the fast scan.

Rule of this file: instructions and registers are plain arrays, so that one compiled loop runs every plan.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
from attrs import field, frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.scan.instructions import BLOCKS, read
from steadfall.scan.layout import Layout, Register


class Registers(NamedTuple):
    """The working memory of one run; `scan_once` changes it."""

    ints: Any
    reals: Any


@frozen(eq=False)
class Program:
    """Instructions and the registers' initial values; `where` tells the register of every signal and timer
    ET.
    """

    code: Any  # uint32[n, 5]
    ints: Any  # int64[]
    reals: Any  # float64[]
    where: Mapping[str, Register]
    types: Mapping[str, Type] = field(repr=False)
    copies: Mapping[str, Register] = field(factory=dict, repr=False)  # of the last scan, where one is kept

    def register(self, name: str) -> Register:
        """The register of a signal, or of a timer's elapsed time as `NAME.ET`."""
        return self.where[name]


def fresh(program: Program) -> Registers:
    """Registers as they are before the first scan."""
    return Registers(program.ints.copy(), program.reals.copy())


def compile_network(network: Network) -> Program:
    """The instructions that do in each scan what the network says."""
    to = Layout(network)
    for row in network.assignments:
        if row.is_block:
            BLOCKS[type(row.node)](row.node, to, row.name)
        else:
            length = len(to.code)
            to.settle(row.name, read(row.node, to), length)
        to.close(row.name)
    to.keep_copies()
    code = np.array(to.code, dtype=np.uint32).reshape(-1, 5)
    ints, reals = np.array(to.cells["ints"], dtype=np.int64), np.array(to.cells["reals"], dtype=np.float64)
    copies = {name: Register(to.where[name].kind, place) for name, place in to.copies.items()}
    return Program(code, ints, reals, dict(to.where), network.types, copies)
