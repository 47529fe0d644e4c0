"""constraints.txt, which pip installs by, pins what uv.lock has locked: same packages, same versions."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
OWN = "steadfall"


def pinned(text: str) -> set[tuple[str, str]]:
    """Name and version of each line of a constraints file."""
    found: set[tuple[str, str]] = set()
    for line in text.splitlines():
        one = Requirement(line)
        versions = [re.fullmatch(r"==([^,*]+)", str(part)) for part in one.specifier]
        assert len(versions) == 1, line
        assert versions[0], line
        found.add((canonicalize_name(one.name), str(versions[0][1])))
    return found


def locked(text: str) -> set[tuple[str, str]]:
    """Name and version of each package of a lock, without our own."""
    rows = tomllib.loads(text)["package"]
    return {(canonicalize_name(row["name"]), row["version"]) for row in rows if row["name"] != OWN}


def test_the_constraints_are_those_of_the_lock() -> None:
    constraints = (ROOT / "constraints.txt").read_text(encoding="utf-8")
    assert pinned(constraints) == locked((ROOT / "uv.lock").read_text(encoding="utf-8"))


def test_the_lock_knows_every_extra_of_the_project() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    rows = tomllib.loads((ROOT / "uv.lock").read_text(encoding="utf-8"))["package"]
    own = next(row for row in rows if row["name"] == OWN)
    asked = {
        extra: {canonicalize_name(Requirement(line).name) for line in lines}
        for extra, lines in project["optional-dependencies"].items()
    }
    asked["all"] = set().union(*(asked[name] for name in asked if name not in ("all", "dev")))
    held = {extra: {row["name"] for row in rows} for extra, rows in own["optional-dependencies"].items()}
    assert held == asked
    assert {row["name"] for row in own["dependencies"]} == {
        canonicalize_name(Requirement(line).name) for line in project["dependencies"]
    }
