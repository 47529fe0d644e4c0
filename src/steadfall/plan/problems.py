"""The list of problems that grows while a plan is read.

Rule of this file: reading never stops at the first problem; what could not be read is replaced by a value
that no later check objects to (`UNREAD` for numbers, "" for names), so that one mistake is reported once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from itertools import chain
from typing import Any

from attrs import evolve, frozen

from steadfall.source import NOWHERE, Mark, Problem
from steadfall.units import QuantityError

# Every comparison with it is false, so no check objects to it. Any: it stands in for integers too.
UNREAD: Any = float("nan")
UNREAD_MS: int = UNREAD

# A listing longer than this helps nobody; the rest is counted.
MOST_LISTED = 200


@frozen
class _Unknown:
    """A name that resolves to nothing: what it should be, and whether it is a circuit's."""

    problem: Problem
    what: str
    of_circuit: bool


class Problems:
    """Collects problems; `found` is what PlanError takes."""

    def __init__(self) -> None:
        self._found: list[Problem] = []
        self._unknown: dict[str, list[_Unknown]] = {}  # by what is misspelt

    def __bool__(self) -> bool:
        return bool(self._found or self._unknown)

    def add(
        self, mark: Mark, slug: str, key: str, read: str, expected: str = "", *, example: str = ""
    ) -> None:
        """One more thing to mend."""
        self._found.append(Problem(mark, slug, key, read, expected, example))

    def unknown(self, mark: Mark, key: str, name: str, what: str, known: Iterable[str]) -> None:
        """A name that resolves to nothing; an empty one was reported where it was read."""
        if name:
            words = list(known)
            read = f"'{short(name)}' is no {what}{did_you_mean(name, words)}"
            expected = listed(words) if words else NONE_KNOWN.get(what, f"a {what} of this plan")
            problem = Problem(mark, "unknown-name", key, read, expected)
            root = _root(name, words)
            of_circuit = what in OF_CIRCUIT or (what == QUANTITY and (root != name or name.count(".") > 1))
            self._unknown.setdefault(root, []).append(_Unknown(problem, what, of_circuit))

    def asked(self, key: str, name: str, what: str, known: Iterable[str]) -> None:
        """A name that a person asks for, and no plan has: an empty one too, as of a variable of a script."""
        words = list(known)
        read = f"'{short(name)}' is no {what}{did_you_mean(name, words) if name else ''}"
        self.add(NOWHERE, "unknown-name", key, read, listed(words) if words else f"a {what} of this plan")

    def misread(self, mark: Mark, key: str, error: QuantityError) -> None:
        """A text that is not the quantity that was expected."""
        self.add(mark, error.slug, key, error.read, error.expected, example=error.example)

    def take_new(self, other: Problems, when: str) -> None:
        """What is wrong in another case and not in this one already; `when` says in which."""
        known = {(row.mark, row.slug, row.key) for row in self._found}
        rows = (row for row in other._found if (row.mark, row.slug, row.key) not in known)
        self._found += [evolve(row, read=f"{when}{row.read}") for row in rows]

    def found(self) -> list[Problem]:
        """All of them in line order, each once, the tail of a very long list counted.

        What is misspelt in one place and named in ten is one problem; and what follows from a circuit of
        unknown type, or from a supply that nobody knows, is none.
        """
        lacking = {row.what for row in chain(*self._unknown.values())}
        follows = {slug for what in lacking for slug in FOLLOWS.get(what, ())}
        told = [problem for problem in self._found if problem.slug not in follows]
        adrift = ADRIFT in lacking
        ordered = sorted({*_named_once(told), *(folded(rows) for rows in self._groups(adrift))})
        if len(ordered) <= MOST_LISTED:
            return ordered
        rest = ordered[MOST_LISTED:]
        more = Problem(rest[0].mark, "and-more", "", f"and {len(rest)} more problems from here on", "")
        return [*ordered[:MOST_LISTED], more]

    def _groups(self, adrift: bool) -> Iterator[list[Problem]]:
        groups: dict[str, list[_Unknown]] = {}
        for root, rows in self._unknown.items():
            groups.setdefault(self._cause(root), []).extend(rows)
        for rows in groups.values():
            ordered = sorted(rows, key=lambda row: (row.what not in (CIRCUIT, VALVE), row.problem))
            group = [row.problem for row in ordered if not (adrift and row.of_circuit)]
            if group:
                yield group

    def _cause(self, root: str) -> str:
        """What is misspelt in a signal of two parts: its circuit, its valve, a circuit whose sensor it would
        be, or the whole.
        """
        first, _, rest = root.partition(".")
        for one, what in ((first, CIRCUIT), (rest, VALVE)):
            if any(row.what == what for row in self._unknown.get(one, ())):
                return one
        sensors = ((one, row) for one, rows in self._unknown.items() for row in rows if row.what == CIRCUIT)
        return next((one for one, row in sensors if rest and row.problem.key == f"{one}.{rest}"), root)


# While a circuit's type is unknown, its valves, stages, sensors and quantities are.
ADRIFT = "circuit type"
OF_CIRCUIT, QUANTITY = ("signal", "valve", "stage of any circuit"), "quantity of the plant"
NONE_KNOWN = {QUANTITY: "a plan with a plant; this one is of the logic alone"}
FOLLOWS = {ADRIFT: ("no-water", "no-call", "unreachable-stage"), "supply": ("no-water",)}
NAME = "name"  # what cannot be one
CIRCUIT, VALVE = "circuit", "valve of this circuit type"  # what a signal of two parts may lack


def _root(name: str, known: list[str]) -> str:
    """What of a name is misspelt: the part before its dot where no known name begins so, else all of it."""
    first = name.partition(".")[0]
    return name if any(word == first or word.startswith(f"{first}.") for word in known) else first


def _named_once(problems: Iterable[Problem]) -> Iterator[Problem]:
    """Problems, where one of what cannot be a name (`wheel-turns`) stands for all places that have it."""
    names: dict[str, list[Problem]] = {}
    for problem in sorted(problems):
        if problem.slug == NAME:
            names.setdefault(problem.read, []).append(problem)
        else:
            yield problem
    yield from map(folded, names.values())


def folded(problems: list[Problem]) -> Problem:
    """The first of some problems with one cause, and where else it stands."""
    first, *others = problems
    lines = sorted({one.mark.line for one in others} - {first.mark.line})
    if not lines:
        return first
    numbers = listed(map(str, lines)).replace(" or ", " and ")
    also = f"; the same in line{'s' if len(lines) > 1 else ''} {numbers}"
    return evolve(first, read=f"{first.read}{also}")


def near_miss(word: str, known: Iterable[str], alike: float = 0.6) -> str:
    """The known word that this one was probably meant to be, or nothing."""
    return next(iter(get_close_matches(short(word), list(known), 1, alike)), "")


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A half sentence that suggests the nearest known word, or nothing."""
    near = near_miss(word, (one for one in known if one != word))
    return f"; did you mean '{near}'?" if near else ""


def listed(words: Iterable[str], most: int = 8) -> str:
    """Words as a person would list them: `a, b or c`."""
    known = list(words)
    if len(known) > most:
        return f"{', '.join(known[:most])} ... ({len(known)} in all)"
    return known[0] if len(known) == 1 else f"{', '.join(known[:-1])} or {known[-1]}" if known else "nothing"


def short(text: str) -> str:
    """A text cut to what fits a sentence."""
    text = " ".join(text.split())
    return text if len(text) <= 60 else text[:57] + "..."
