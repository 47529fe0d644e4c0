"""The table of keys, and what is made from it: schema, reference, near misses."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from steadfall.plan.keys import fits, kinds, reference, schema
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.problems import Problems
from steadfall.plan.read import table, value, whole
from steadfall.plan.text.tree import Items, Node, Scalar, read_tree
from steadfall.plan.write import table as writing
from tests.plan.paths import BAD, CLEAN, ROOT

KINDS: set[type] = set(kinds.Kind.__args__)
SCHEMA = jsonschema.Draft202012Validator(schema.schema())


def every_kind() -> Iterator[kinds.Kind]:
    for section in SECTIONS.values():
        yield from (key.kind for key in section.every_key)


def test_every_kind_has_a_row_in_every_table() -> None:
    for module in (schema, reference):
        assert set(module._KINDS) == KINDS
    assert set(value._EXPECTED) == KINDS
    lists = {kinds.Refs, kinds.Phrases}
    assert set(value._SCALARS) | set(table._TABLES) | lists == KINDS
    assert set(value.NOTHING) == KINDS - set(table._TABLES)
    assert set(writing._KINDS) == KINDS
    in_either = {type(part) for kind in every_kind() if isinstance(kind, kinds.Either) for part in kind.kinds}
    assert set(fits.FITS) == in_either


def test_the_reference_is_up_to_date() -> None:
    assert (ROOT / "docs" / "keys.md").read_text(encoding="utf-8") == reference.reference()


def test_every_key_is_in_the_reference() -> None:
    text = reference.reference()
    for section in SECTIONS.values():
        assert section.doc in text
        for key in section.keys:
            assert f"`{key.name}`" in text
            assert key.doc.endswith(".")


def test_every_key_is_used_in_a_good_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: set[tuple[str, str]] = set()
    made = table.made

    def noted(section: kinds.Section, values: Any, entries: table.Entries, *others: Any) -> Any:
        seen.update((section.name, name) for name in entries.own)
        seen.update((section.name, "*") for _ in entries.others)
        return made(section, values, entries, *others)

    monkeypatch.setattr(table, "made", noted)
    monkeypatch.setattr(whole, "made", noted)
    for path in CLEAN:
        whole.read_file(path)
    wanted = {(section.name, key.name) for section in SECTIONS.values() for key in section.keys}
    wanted |= {(section.name, "*") for section in SECTIONS.values() if section.others}
    assert wanted - seen == set()


def plain(node: Node) -> Any:
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Items):
        return [plain(item) for item in node.nodes]
    return {entry.key.text: plain(entry.value) for entry in node.entries}


def document(path: Path) -> Any:
    return plain(read_tree(path.read_text(encoding="utf-8"), path.name, Problems()))


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema.schema())


@pytest.mark.parametrize("path", CLEAN, ids=lambda path: path.stem)
def test_good_plans_fit_the_schema(path: Path) -> None:
    assert [error.message for error in SCHEMA.iter_errors(document(path))] == []


VALUE_SLIPS = [
    "unknown_keys",
    "wrong_dimension",
    "missing_unit",
    "gauge_or_absolute",
    "unknown_units",
    "spellings",
    "choices",
    "counts",
    "missing_keys",
    "shapes",
    "only_a_text",
    "version",
]


@pytest.mark.parametrize("name", VALUE_SLIPS)
def test_slips_that_the_schema_sees(name: str) -> None:
    path = next(path for path in BAD if path.stem == name)
    assert list(SCHEMA.iter_errors(document(path)))


def test_editors_may_read_numbers_and_booleans() -> None:
    plan = document(next(path for path in CLEAN if path.stem == "small"))
    plan["steadfall"] = 1
    plan["circuit_types"]["platen_circuit"]["path"]["passes"] = 2
    plan["inputs"]["air_pressure_ok"]["normal"] = True
    assert [error.message for error in SCHEMA.iter_errors(plan)] == []
    plan["circuit_types"]["platen_circuit"]["path"]["passes"] = 0
    assert list(SCHEMA.iter_errors(plan))
