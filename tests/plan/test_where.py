"""Where a place of a half-written plan is: told by what stands before it."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadfall.plan.keys.place import keys_at, kinds_at
from steadfall.plan.problems import Problems
from steadfall.plan.text.tree import Items, Node, Table, read_tree
from steadfall.plan.text.where import ITEM, where
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


@given(st.text(alphabet="ab:-{}[],#'\" \n", max_size=60), st.integers(0, 60))
def test_it_never_fails(text: str, offset: int) -> None:
    found = where(text, offset)
    kinds_at(found.path)
    keys_at(found.path)
