"""Documents for newcomers are true: what they name is there, and no room is left out."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from steadfall import compiled

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "steadfall"
DOCUMENTS = ("docs/tour.md", "CONTRIBUTING.md", "tests/README.md", "docs/proof.md")
FILE = r"(?:[A-Za-z_]+/)*[A-Za-z_]+\.(?:py|md|toml|txt|yaml|csv)"
NAMED = re.compile(rf"`((?:[a-z_]+/)+(?:[a-z_]+)?|{FILE})`")


def text(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_path_that_is_named_is_there(name: str) -> None:
    named = set(NAMED.findall(text(name)))
    assert len(named) >= 5
    missing = [path for path in named if not any((base / path).exists() for base in (ROOT, PACKAGE))]
    assert not missing


def test_the_tour_names_every_room() -> None:
    rooms = {f"{path.name}/" for path in PACKAGE.iterdir() if (path / "__init__.py").exists()}
    alone = {path.name for path in PACKAGE.glob("*.py") if not path.name.startswith("__")}
    inner = {
        f"{path.parent.name}/{path.name}/" for path in PACKAGE.glob("*/*") if (path / "__init__.py").exists()
    }
    assert rooms | alone | inner <= set(NAMED.findall(text("docs/tour.md")))


def test_the_tour_is_in_the_order_of_the_contract() -> None:
    order = re.findall(r"^- `([a-z]+)(?:/|\.py)`", text("docs/tour.md"), flags=re.MULTILINE)
    contracts = tomllib.loads(text("pyproject.toml"))["tool"]["importlinter"]["contracts"]
    layers = next(row["layers"] for row in contracts if row.get("containers") == ["steadfall"])
    level = {room: place for place, row in enumerate(reversed(layers)) for room in row.split(" | ")}
    places = [level[room] for room in order]
    assert len(places) > 15
    assert places == sorted(places)


def test_the_decision_on_the_kernel_cache_names_what_it_is_a_hash_of() -> None:
    section = text("docs/decisions.md").partition("## The kernel cache")[2].partition("\n## ")[0]
    assert set(re.findall(r"\b[a-z]+(?:/|\.py)", section)) == {
        *(f"{folder}/" for folder in compiled.KERNEL_FOLDERS),
        *compiled.KERNEL_FILES,
    }
