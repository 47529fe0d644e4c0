"""The contracts between the rooms catch what they say they catch.

Rule of this file: each test spoils a copy of the package in one way and runs the checker on it, as `make
lint` does; the answer names the contract that is broken.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CHECKER = Path(sys.executable).with_name("lint-imports")
ROOMS = "The rooms: arrows go downward only, and every room stands here"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
DOORS = {  # library -> the contract that keeps its door
    library: row["name"]
    for row in PROJECT["tool"]["importlinter"]["contracts"]
    if row["type"] == "protected"
    for library in row["protected_modules"]
    if not library.startswith("steadfall")
}
SCANS = "Scans follow each other in four places: a run, one that jumps, a prediction alone and a shared one"
SIBLINGS = "No two files or folders side by side need each other"


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the package with the project's contracts beside it; gives the package's folder."""
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    ignored = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "src" / "steadfall", tmp_path / "src" / "steadfall", ignore=ignored)
    return tmp_path / "src" / "steadfall"


def broken(package: Path) -> set[str]:
    """The names of the contracts that a package breaks; nothing when the checker is content."""
    root = package.parents[1]
    ran = subprocess.run(
        [CHECKER, "--no-cache", "--config", root / "pyproject.toml"],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root / "src"), "NO_COLOR": "1", "COLUMNS": "200"},
        capture_output=True,
        text=True,
        check=False,
    )
    found = {
        line.removesuffix("BROKEN").strip() for line in ran.stdout.splitlines() if line.endswith("BROKEN")
    }
    assert ran.returncode == bool(found), ran.stdout + ran.stderr
    assert not found or "KEPT" in ran.stdout
    return found


def add(package: Path, file: str, line: str) -> None:
    """Put an import at the end of a file, which is made where there is none."""
    path = package / file
    path.parent.mkdir(exist_ok=True)
    with path.open("a", encoding="utf-8") as opened:
        opened.write(f"{line}\n")


def test_the_package_keeps_them(copy: Path) -> None:
    assert broken(copy) == set()


def test_a_stray_folder_that_imports_everything(copy: Path) -> None:
    rooms = sorted(path.name for path in copy.iterdir() if (path / "__init__.py").exists())
    add(copy, "stray/__init__.py", '"""A room that nobody has announced."""')
    add(copy, "stray/all.py", "\n".join(f"import steadfall.{room}" for room in rooms))
    assert ROOMS in broken(copy)


def test_a_fourth_loop_around_the_fast_scan(copy: Path) -> None:
    add(copy, "why/scans/history.py", "import steadfall.scan.kernel")
    assert broken(copy) == {SCANS}


@pytest.mark.parametrize("room", ["lists", "st/write"])
def test_every_library_outside_its_door(copy: Path, room: str) -> None:
    for library in DOORS:
        add(copy, f"{room}/stray.py", f"import {library}")
    assert broken(copy) == set(DOORS.values())


def test_every_heavy_library_has_a_door() -> None:
    heavy = {"numba", "scipy", "z3", "cvc5", "lark", "openpyxl", "jinja2", "pandas", "pyarrow"}
    assert heavy <= set(DOORS)


def test_an_import_upward(copy: Path) -> None:
    add(copy, "plan/text/stray.py", "import steadfall.cli.common.guard")
    assert ROOMS in broken(copy)


def test_an_import_upward_inside_a_room(copy: Path) -> None:
    add(copy, "plan/model/stray.py", "import steadfall.plan.check.whole")
    assert "A plan: text, meaning, keys, judgement, reading and writing, revising" in broken(copy)


def test_two_files_side_by_side_that_need_each_other(copy: Path) -> None:
    add(copy, "lists/here.py", "import steadfall.lists.there")
    add(copy, "lists/there.py", "import steadfall.lists.here")
    assert broken(copy) == {SIBLINGS}


def test_every_room_is_a_package() -> None:
    """A folder without __init__.py would work here and be left out of the wheel."""
    tracked = subprocess.run(["git", "ls-files", "src"], cwd=ROOT, capture_output=True, text=True, check=True)
    files = {Path(line) for line in tracked.stdout.splitlines() if line.endswith(".py")}
    assert [path for path in files if path.with_name("__init__.py") not in files] == []
