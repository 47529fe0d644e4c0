"""A comparison in sentences: what is equal for ever, what differs and when, what only one of the two has.

Rule of this file: the terminal and the page say the same, and it is made here, once. `first` and `second` are
what the two files are called.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from steadfall.prove.compare.compared import EQUAL, PARTS, STAGE, UNKNOWN, Comparison, Held, Output
from steadfall.quantities import clock
from steadfall.roles import Role, of_plant

Titles = tuple[str, str]
CHECKED = {True: "checked by cvc5", False: "cvc5 does NOT confirm it", None: ""}
SHOWN = (Role.OUTPUT, Role.ALARM, Role.UNACKNOWLEDGED, Role.FIRST_OUT, Role.TRIP, Role.RUNNING)
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


def verdict(found: Comparison) -> str:
    """The whole in a sentence."""
    count = len(found.outputs)
    lone = len(found.first_only) + len(found.second_only)
    also = f"; {number(lone)} more only one of them has" if lone else ""
    if found.named(PARTS) == found.outputs and count > 1:
        return f"{_outputs(count)} that both have differ{also}."
    if found.verdict == EQUAL:
        return f"{_outputs(count)} that both have are equal for ever{also}."
    words = (
        (PARTS, "differs", "differ"),
        (EQUAL, "is equal for ever", "are equal for ever"),
        (UNKNOWN, "is not known", "are not known"),
    )
    said = [
        f"{number(len(rows))} {one if len(rows) == 1 else many}"
        for word, one, many in words
        if (rows := found.named(word))
    ]
    return f"Of the {number(count)} outputs that both have, {_listed(said)}{also}."


def number(count: int) -> str:
    """A small number as a word."""
    return COUNTS[count] if count < len(COUNTS) else str(count)


def _outputs(count: int) -> str:
    return "The output" if count == 1 else f"{'The' if count == 2 else 'All'} {number(count)} outputs"


def _what(rows: Iterable[Output]) -> str:
    """What some outputs are together: valves where each is one."""
    roles = {row.identity.role for row in rows}
    if roles <= {*SHOWN}:
        return "lamps and alarms"
    return "outputs" if roles & {*SHOWN, Role.ENERGISED, Role.PUMP} else "valves"


def said(row: Output) -> str:
    """What is known of an output."""
    if row.verdict == EQUAL:
        return "equal for ever"
    return "not known" if row.parting is None else f"differs {after(row.parting.at_ms)}"


def after(at_ms: int) -> str:
    """When two outputs first differ, counted from power-up."""
    return f"after {clock(at_ms, fine=True)}" if at_ms else "in the first scan"


def shown_by(row: Output) -> str:
    """What shows it, and who has checked it."""
    if row.parting is not None:
        return "no run has fewer steps" if row.parting.fewest else "a run; there may be a shorter one"
    return (
        ", ".join(word for word in (row.engine, CHECKED[row.rechecked]) if word)
        or "nothing within the effort given"
    )


def circuits(found: Comparison) -> Iterator[str]:
    """A line for each circuit: `lower: all four valves equal for ever`."""
    groups: dict[str, list[Output]] = {}
    for row in found.valves:
        groups.setdefault(row.identity.circuit, []).append(row)
    for circuit, rows in groups.items():
        alike: dict[str, list[str]] = {}
        for row in sorted(rows, key=_order):
            alike.setdefault(said(row), []).append(_called(row))
        head = f"{circuit}: " if circuit else ""
        if len(alike) == 1 and len(rows) > 1:
            many = "both" if len(rows) == 2 else f"all {number(len(rows))}"
            yield f"{head}{many} {_what(rows)} {_plural(next(iter(alike)))}"
        else:
            yield head + "; ".join(
                f"{_listed(names)} {_plural(word) if len(names) > 1 else word}"
                for word, names in alike.items()
            )


def _called(row: Output) -> str:
    """Its name in its circuit."""
    turned = row.identity.role is Role.ENERGISED
    return f"the output of {row.identity.valve}" if turned else row.identity.valve or row.name


def _order(row: Output) -> tuple[bool, int]:
    return row.verdict == EQUAL, row.parting.at_ms if row.parting else 0


def _plural(word: str) -> str:
    return word.replace("differs ", "differ ")


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def stages(found: Comparison) -> Iterator[str]:
    """What is known of the stages, by their names."""
    for row in found.each:
        if row.kind == STAGE:
            circuit = row.identity.circuit
            if row.verdict == EQUAL:
                yield f"{circuit}: in the same stage for ever"
            elif row.parting:
                yield f"{circuit}: in stages of different names {after(row.parting.at_ms)}"
            else:
                yield f"{circuit}: whether always in the same stage is not known"


def notes(found: Comparison, titles: Titles) -> Iterator[str]:
    """What is to be known beside the verdict: what only one has, what was renamed, with what the rest is
    equal.
    """
    for title, names in zip(titles, (found.first_only, found.second_only), strict=True):
        if names:
            yield f"only {title} commands {', '.join(names)}"
    both = [name for name in found.inputs_first_only if name in found.inputs_second_only]
    for name in both:
        yield f"{name} is not the same kind of input in the two; it is taken as two inputs"
    for title, names in zip(titles, (found.inputs_first_only, found.inputs_second_only), strict=True):
        lone = [name for name in names if name not in both]
        if lone:
            yield f"only {title} has the input{'s' if len(lone) > 1 else ''} {', '.join(lone)}"
    for kind, first, second in dict.fromkeys((row.kind, *row.words) for row in found.names.rows):
        yield f"taken as renamed: {kind} '{first}' is '{second}' in {titles[1]} (--map FILE says otherwise)"
    for row in found.held:
        yield with_held(row)


def with_held(row: Held) -> str:
    """What is equal with something held, in a sentence."""
    names = _listed([_held_words(name, on) for name, on in row.signals])
    checked = f" ({CHECKED[row.rechecked]})" if row.rechecked is not None else ""
    return f"as long as {names}, {_listed(row.equal)} {'are' if len(row.equal) > 1 else 'is'} equal{checked}"


def _held_words(name: str, on: bool) -> str:
    if name == of_plant(Role.TRIPPED).name:
        return "nothing has tripped"
    return f"{name} stays {'on' if on else 'off'}"


def about(found: Comparison) -> str:
    """What the comparison is about."""
    return (
        f"Same inputs in the same scans, every time between two scans up to {found.longest_ms} ms, from "
        "power-up on; "
        f"times are counted from there. This is about the logic only."
    )


def engine_note(rows: Iterable[Output]) -> str:
    """What is not claimed of the differences that runs have shown."""
    by_run = any(row.parting and not row.parting.fewest for row in rows)
    return "A difference that a run has shown comes early; there may be an earlier one." if by_run else ""
