"""Requirements decided one by one or several at once, those that ask the same by one process."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.by_lemmas import Settled, by_lemmas
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import Verdict
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched


def each_verdict(
    of: Watched, chosen: Sequence[Required], ask: Ask, seen: Mapping[str, Simulated], hands: Hands
) -> Iterator[Verdict]:
    """The verdicts as they come; `seen` is what runs have shown."""
    shown = {row.name: seen.get(row.name, Simulated()) for row in chosen}
    whole = [row for row in chosen if shown[row.name].violation is None]
    known = by_lemmas(of, whole, ask, hands)
    done = [row for row in whole if row.name in known and shown[row.name].witness is not None]
    for row in done:
        yield decide(of, row, ask, shown[row.name], known[row.name])
    left = [row for row in chosen if row not in done]
    groups = [
        ([(row, shown[row.name], known.get(row.name)) for row in rows], ask) for rows in alike(of, left)
    ]
    for verdicts in hands.each(_decided, of, groups):
        yield from verdicts


def _decided(
    of: Watched, given: tuple[Sequence[tuple[Required, Simulated, Settled | None]], Ask]
) -> list[Verdict]:
    rows, ask = given
    return [decide(of, row, ask, seen, known) for row, seen, known in rows]


def alike(of: Watched, chosen: Sequence[Required]) -> list[list[Required]]:
    """The requirements in groups that say the same of other circuits: one process answers them, most of them
    once.

    Those of the whole plan first, then doses: no process is left with a long one at the end.
    """
    circuits = re.compile("|".join(rf"\b{re.escape(name)}\b" for name in of.plan.circuits))
    found: dict[str, list[Required]] = {}
    for row in sorted(chosen, key=lambda row: (bool(row.circuit), "_dose." not in row.name)):
        found.setdefault(circuits.sub("#", row.sentence), []).append(row)
    return list(found.values())
