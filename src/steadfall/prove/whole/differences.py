"""Where a stored result says something else than what checking it again gives.

Rule of this file: times of the work and names of files are the first proof's own; all else must be the same.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from steadfall.prove.whole.shape import shown

OWN = frozenset({"seconds", "file"})  # keys of what nobody can make again
MOST_NAMED = 3


def differences(stored: Any, made: Any, place: str) -> Iterator[str]:
    """A sentence for each place at which the two are not the same."""
    if isinstance(made, Mapping) and isinstance(stored, Mapping):
        for key in dict.fromkeys([*made, *stored]):
            if key not in OWN:
                yield from differences(stored.get(key), made.get(key), f"{place}: {key}" if place else key)
    elif _texts(made) and _texts(stored):
        yield from _of_texts(stored, made, place)
    elif isinstance(made, list) and isinstance(stored, list) and len(made) == len(stored):
        for number, (one, two) in enumerate(zip(stored, made, strict=True)):
            yield from differences(one, two, f"{place}[{number}]")
    elif type(made) is not type(stored) or made != stored:
        yield f"{place}: {shown(stored)} is stored, and it is {shown(made)}"


def counted(stored: Iterable[str], known: Sequence[str], place: str) -> Iterator[str]:
    """A sentence on names that stand twice, and one on names that there are not."""
    counts = Counter(stored)
    twice = [name for name, count in counts.items() if count > 1]
    extra = [name for name in counts if name not in set(known)]
    if twice:
        yield f"{place}: stored more than once: {named(twice)}"
    if extra:
        yield f"{place}: stored, and not of this plan: {named(extra)}"


def named(names: Sequence[str]) -> str:
    """Some names; of many the first."""
    more = len(names) - MOST_NAMED
    first = ", ".join(shown(name) for name in names[:MOST_NAMED])
    return f"{first} and {more} more" if more > 0 else first


def _texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, str) for one in value)


def _of_texts(stored: list[str], made: list[str], place: str) -> Iterator[str]:
    less, more = Counter(made) - Counter(stored), Counter(stored) - Counter(made)
    if less:
        yield f"{place}: not stored: {named(list(less))}"
    if more:
        yield f"{place}: stored, and it is not so: {named(list(more))}"
