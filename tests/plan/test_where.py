"""Where a place of a half-written plan is: told by what stands before it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from steadfall.plan.keys.place import keys_at, kinds_at
from steadfall.plan.problems import Problems
from steadfall.plan.text.tree import Items, Node, Scalar, Table, read_tree
from steadfall.plan.text.where import ITEM, where
from steadfall.source import PlanError
from tests.plan.paths import EXAMPLES

CASES = (
    ("", (), True, ""),
    ("sc", (), True, "sc"),
    ("scan: {nom", ("scan",), True, "nom"),
    ("scan: {nominal: 20 ", ("scan", "nominal"), False, "20 "),
    ("scan: {nominal: 20 ms, lo", ("scan",), True, "lo"),
    ("scan: {nominal: 20 ms}\nam", (), True, "am"),
    ("supplies:\n  water: {fl", ("supplies", "water"), True, "fl"),
    ("supplies:\n  water: {fluid: wa", ("supplies", "water", "fluid"), False, "wa"),
    ("supplies:\n  water:\n    fluid: water\n    ", ("supplies", "water"), True, ""),
    ("supplies:\n  water:\n    fluid: water\n  ai", ("supplies",), True, "ai"),
    ("trips:\n  - {na", ("trips", ITEM), True, "na"),
    ("trips:\n  - name: a\n    wh", ("trips", ITEM), True, "wh"),
    ("trips:\n- name: a\n  wh", ("trips", ITEM), True, "wh"),
    ("trips:\n- name: a\n- wh", ("trips", ITEM), True, "wh"),
    ("a:  # {not a bracket\n  b", ("a",), True, "b"),
    ("a: 'x: {y'\nb", (), True, "b"),
    ("a: {b: [c, d\n   e: f", ("a", "b", ITEM), False, "f"),
    ("scenarios:\n  air lost, then back", ("scenarios",), True, "air lost, then back"),
    ("scenarios:\n  air lost, then back: {st", ("scenarios", "air lost, then back"), True, "st"),
    ("scenarios:\n  air [1] lost#2 at 6:30:\n    st", ("scenarios", "air [1] lost#2 at 6:30"), True, "st"),
    ("because: it [is, a: b", ("because",), False, "it [is, a: b"),
    ("a: {'it''s, b': {c", ("a", "it's, b"), True, "c"),
    ('a: {"b\\"}, c": {d', ("a", 'b"}, c'), True, "d"),
)


@pytest.mark.parametrize(("text", "path", "key", "word"), CASES)
def test_a_place(text: str, path: tuple[str, ...], key: bool, word: str) -> None:
    found = where(text, len(text))
    assert (found.path, found.key, found.word) == (path, key, word)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_key_of_a_plan_is_found_as_the_reader_found_it(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    starts = [0]
    for line in text.split("\n"):
        starts.append(starts[-1] + len(line) + 1)
    seen = 0

    def walk(node: Node, above: tuple[str, ...]) -> None:
        nonlocal seen
        if isinstance(node, Table):
            for entry in node.entries:
                mark = entry.key.mark
                found = where(text, starts[mark.line - 1] + mark.column - 1 + len(entry.key.text))
                assert found.path == above, mark
                assert found.key
                assert found.word == entry.key.text
                seen += 1
                walk(entry.value, (*above, entry.key.text))
        elif isinstance(node, Items):
            for item in node.nodes:
                walk(item, (*above, ITEM))

    walk(read_tree(text, path.name, Problems()), ())
    assert seen > 100


_NAMES = st.text(alphabet="ab ,:#'\"-{}[]", min_size=1, max_size=8).filter(
    lambda name: name == name.strip() and name != ITEM
)
_TREES = st.recursive(
    st.just("v"),
    lambda inner: (
        st.dictionaries(_NAMES, inner, min_size=1, max_size=3) | st.lists(inner, min_size=1, max_size=3)
    ),
    max_leaves=8,
)


@given(st.dictionaries(_NAMES, _TREES, min_size=1, max_size=3), st.sampled_from((True, False, None)))
def test_every_value_is_found_behind_its_keys_however_they_are_written(tree: Any, flow: bool | None) -> None:
    text = yaml.safe_dump(tree, width=10_000, default_flow_style=flow, sort_keys=False)
    lines = text.split("\n")

    def walk(node: Node, above: tuple[str, ...]) -> None:
        if isinstance(node, Scalar):
            before = sum(len(line) + 1 for line in lines[: node.mark.line - 1])
            found = where(text, before + node.mark.column)  # one letter in
            assert (found.path, found.word) == (above, "v")
            assert not found.key or above[-1] == ITEM  # behind a dash it may yet be a key
        elif isinstance(node, Table):
            for entry in node.entries:
                walk(entry.value, (*above, entry.key.text))
        else:
            for item in node.nodes:
                walk(item, (*above, ITEM))

    problems = Problems()
    try:
        node = read_tree(text, "plan.yaml", problems)
    except PlanError:  # a key that no plan may have
        assume(False)
    assume(not problems)
    walk(node, ())


@given(st.text(alphabet="ab:-{}[],#'\" \n", max_size=60), st.integers(0, 60))
def test_it_never_fails(text: str, offset: int) -> None:
    found = where(text, offset)
    kinds_at(found.path)
    keys_at(found.path)
