"""A number that cannot be right is refused in a sentence, or means what it says: none is quietly another."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations

import pytest

from steadfall.plan.keys import kinds
from steadfall.plan.keys.numbers import span_of
from steadfall.plan.keys.place import kinds_at
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.plan.read.value import Context, read_value
from steadfall.plan.read.whole import read_text
from steadfall.plan.text.tree import Items, Node, Scalar, Table, read_tree
from steadfall.plan.text.where import ITEM
from steadfall.source import Mark, PlanError
from tests.plan.paths import GOOD, ROOT

BOUNDED = (kinds.Amount, kinds.Time, kinds.Number, kinds.Whole)
Bounded = kinds.Amount | kinds.Time | kinds.Number | kinds.Whole
OF_TABLE = [
    (section.name, key.name, part)
    for section in SECTIONS.values()
    for key in section.every_key
    for part in (key.kind.kinds if isinstance(key.kind, kinds.Either) else (key.kind,))
    if isinstance(part, BOUNDED)
]
NUMBER = re.compile(r"(?<![\w.:-])-?\d+(?:\.\d+)?(?=[\s,})\]]|$)")
ODD = ("-1", "0", "1e9", "nan", "inf", "1e30")
PLANS = [path for path in GOOD if path.stem in ("switches", "everything", "settings", "transmitters")]


def refused(text: str, kind: Bounded) -> bool:
    problems = Problems()
    read_value(Scalar(text, Mark("plan.yaml", 1, 1)), kind, Context("key", problems))
    rows = problems.found()
    assert all(row.read and row.expected for row in rows)
    return bool(rows)


@pytest.mark.parametrize("row", OF_TABLE, ids=lambda row: f"{row[0]}.{row[1]}")
def test_what_lies_outside_a_key_s_bounds_is_refused(row: tuple[str, str, Bounded]) -> None:
    _, _, kind = row
    unit = re.search(r"[^\d.e-].*", kind.least) if isinstance(kind, kinds.Amount | kinds.Time) else None
    unit_said = unit[0] if unit else ""
    span = span_of(kind)
    assert not refused(str(kind.most), kind)
    assert refused(str(kind.least), kind) == (isinstance(kind, kinds.Amount) and kind.above)
    assert span.least < span.most
    for number in ("-1e9", "1e14", "nan", "inf", "-inf", "1e30"):
        assert refused(number + unit_said, kind)


SAID = (
    ("hysteresis: 3 K", "hysteresis: -3 K", "hysteresis: a value does not go back by less than nothing"),
    ("step_down: after 10 s", "step_down: after -10 s", "step_down: '-10 s' cannot be right here"),
    ("step_down: after 10 s", "step_down: after 300 h", "step_down: '300 h' cannot be right here"),
    ("climb: after 45 s", "climb: after -45 s", "climb: '-45 s' cannot be right here"),
    ("for 0.2 s", "for -0.2 s", "when: '-0.2 s' cannot be right here"),
    ("works_air.pressure: 0", "works_air.pressure: -2", "works_air.pressure: this cannot be right here"),
    ("works_air.pressure: 0.1", "works_air.pressure: 100", "works_air.pressure: this cannot be right here"),
)


@pytest.mark.parametrize(("old", "new", "said"), SAID, ids=[row[1] for row in SAID])
def test_a_number_that_cannot_be_is_refused_in_one_sentence_with_its_place(
    old: str, new: str, said: str
) -> None:
    path = next(path for path in (*GOOD, ROOT / "examples" / "roll.yaml") if old in path.read_text("utf-8"))
    text = path.read_text(encoding="utf-8").replace(old, new, 1)
    line = next(at for at, row in enumerate(text.split("\n"), 1) if new in row)
    with pytest.raises(PlanError) as one:
        read_text(text, "plan.yaml")
    (problem,) = one.value.problems
    assert problem.sentence().startswith(f"plan.yaml:{line}:")
    assert said in problem.sentence()
    assert problem.expected


def test_no_other_number_is_quietly_taken_for_another() -> None:
    """Where two odd numbers are both taken the plans differ, of keys whose bounds are not the table's."""
    seen, taken = set(), 0
    for path in PLANS:
        text = path.read_text(encoding="utf-8")
        for keys, begin, end in _numbers(text, path.name):
            if (sort := (keys[0], keys[-1], text[end : end + 4])) in seen:
                continue
            seen.add(sort)
            found = {odd: plan for odd in ODD if (plan := _plan(text[:begin] + odd + text[end:])) is not None}
            assert not found.keys() & {"nan", "inf", "1e30"}, keys
            assert all(found[one] != found[other] for one, other in combinations(found, 2)), (keys, *found)
            taken += len(found) > 1
    assert taken > 10


def _plan(text: str) -> Plan | None:
    try:
        return read_text(text)
    except PlanError:
        return None


def _numbers(text: str, file: str) -> Iterator[tuple[tuple[str, ...], int, int]]:
    """The keys to each number whose kind has no bounds, and where it stands."""
    starts = [0]
    for line in text.split("\n"):
        starts.append(starts[-1] + len(line) + 1)
    for keys, value in _values(read_tree(text, file, Problems()), ()):
        at = starts[value.mark.line - 1] + value.mark.column - 1
        plain = value.inline and text[at : at + len(value.text)] == value.text
        if plain and not any(isinstance(kind, (*BOUNDED, kinds.Text)) for kind in kinds_at(keys)):
            for number in NUMBER.finditer(value.text):
                yield keys, at + number.start(), at + number.end()


def _values(node: Node, keys: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Scalar]]:
    if isinstance(node, Table):
        for entry in node.entries:
            yield from _values(entry.value, (*keys, entry.key.text))
    elif isinstance(node, Items):
        for item in node.nodes:
            yield from _values(item, (*keys, ITEM))
    else:
        yield keys, node
