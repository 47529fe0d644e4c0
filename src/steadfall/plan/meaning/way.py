"""Where a circuit's passes run over the parts of its host, and how the bodies' parts meet each other.

Rule of this file: shares only, each row adds up to 1; lengths, conductances and heat are shared by them. A
body that is not cut has one part.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from steadfall.plan.model import Order, Plan
from steadfall.plan.model.equipment import Body, Path, Run

Shares = tuple[tuple[float, ...], ...]


def parts_in_order(run: Run, parts: int) -> tuple[int, ...]:
    """The parts that a pass touches one after the other, counted from 0; each for an equal length."""
    if not isinstance(run.order, Order):
        return tuple(number - 1 for number in run.order)
    out = tuple(range(parts))
    back = out[::-1]
    ways: Mapping[Order, tuple[int, ...]] = {
        Order.OUT: out,
        Order.BACK: back,
        Order.OUT_AND_BACK: out + back,
        Order.BACK_AND_OUT: back + out,
    }
    return ways[run.order]


def can_be_followed(path: Path, parts: int) -> bool:
    """Whether every part that a path's ways name is there."""
    return all(0 <= part < parts for run in path.way for part in parts_in_order(run, parts))


def heat_shares(path: Path) -> tuple[float, ...]:
    """The share of a circuit's heat that each of its runs takes: as given, or as much as any other."""
    if not path.way:
        return (1.0,)
    given = [run.share for run in path.way]
    if any(share is None for share in given):
        return (1.0 / len(given),) * len(given)
    return tuple((share or 0.0) / 100.0 for share in given)


def pieces(path: Path, parts: int) -> int:
    """Into how many equal lengths a circuit falls so that in each every run lies in one part."""
    return math.lcm(*(len(parts_in_order(run, parts)) for run in path.way or (Run(Order.OUT),)))


def over_parts(path: Path, parts: int, cells: int) -> Shares:
    """For each of `cells` equal lengths of a circuit, the share of its heat that each part of the host gives.

    All passes are marched as one, so a cell touches the parts that its length of every run touches, by the
    run's share of the heat. One run out over four parts, in two lengths: the first touches parts 1 and 2.

    >>> from steadfall.plan.model import Order, Run
    >>> shares_of([(parts_in_order(Run(Order.OUT), 4), 1.0)], 4, 2)
    ((0.5, 0.5, 0.0, 0.0), (0.0, 0.0, 0.5, 0.5))
    """
    runs = path.way or (Run(Order.OUT),)
    ways = [parts_in_order(run, parts) for run in runs]
    return shares_of(list(zip(ways, heat_shares(path), strict=True)), parts, cells)


def shares_of(ways: Sequence[tuple[tuple[int, ...], float]], parts: int, cells: int) -> Shares:
    """The same of runs that are given by their parts and their share of the heat."""
    rows = []
    for i in range(cells):
        row = [0.0] * parts
        for visited, share in ways:
            for v, part in enumerate(visited):
                row[part] += share * overlap((i, cells), (v, len(visited))) * cells
        rows.append(tuple(row))
    return tuple(rows)


def overlap(one: tuple[int, int], other: tuple[int, int]) -> float:
    """What the i-th of n equal lengths and the j-th of m have in common, as a share of the whole."""
    (i, n), (j, m) = one, other
    return max(0, min((i + 1) * m, (j + 1) * n) - max(i * m, j * n)) / (n * m)


def pair_shares(one: int, other: int) -> list[tuple[int, int, float]]:
    """How two things that lie along each other meet: numbers of the two parts, share of the whole."""
    pairs = ((i, j, overlap((i, one), (j, other))) for i in range(one) for j in range(other))
    return [(i, j, share) for i, j, share in pairs if share > 0.0]


def cooled_share(plan: Plan, circuit: str, body: Body) -> tuple[float, ...]:
    """The share of a circuit that lies in each part of its host."""
    return over_parts(plan.type_of(circuit).path, body.parts, 1)[0]
