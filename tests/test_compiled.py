"""The kernel cache: a changed kernel never runs old machine code, and a second process does not compile."""

import ast
import importlib
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import steadfall
from steadfall import compiled

PACKAGE = Path(steadfall.__file__).parent


def fingerprint_of(folder: Path) -> str:
    code = "from steadfall.compiled import fingerprint; print(fingerprint())"
    env = {**os.environ, "PYTHONPATH": str(folder), "STEADFALL_CACHE": str(folder / "cache")}
    done = subprocess.run(
        [sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True, cwd=folder
    )
    return done.stdout.strip()


def test_any_change_of_a_kernel_source_changes_the_cache_folder(tmp_path: Path) -> None:
    for name in ("__init__.py", "compiled.py", "constants.py", "unneeded.py"):
        (tmp_path / "steadfall").mkdir(exist_ok=True)
        shutil.copy(PACKAGE / name, tmp_path / "steadfall" / name)
    for folder in compiled.KERNEL_FOLDERS:
        shutil.copytree(PACKAGE / folder, tmp_path / "steadfall" / folder)
    before = fingerprint_of(tmp_path)
    assert fingerprint_of(tmp_path) == before
    folders = [next((tmp_path / "steadfall" / folder).glob("*.py")) for folder in compiled.KERNEL_FOLDERS]
    for source in (*folders, *(tmp_path / "steadfall" / name for name in compiled.KERNEL_FILES)):
        source.write_text(source.read_text(encoding="utf-8") + "\n# a change\n", encoding="utf-8")
        after = fingerprint_of(tmp_path)
        assert after != before
        before = after


def kernel_modules() -> list[Path]:
    """The files that hold a compiled function."""
    return [path for path in PACKAGE.rglob("*.py") if "kernel\ndef " in path.read_text(encoding="utf-8")]


def test_every_folder_with_a_kernel_is_in_the_fingerprint() -> None:
    users = {path.parent.relative_to(PACKAGE).as_posix() for path in kernel_modules()}
    assert {
        next(known for known in compiled.KERNEL_FOLDERS if f"{user}/".startswith(f"{known}/"))
        for user in users
    } == set(compiled.KERNEL_FOLDERS)


def test_every_number_that_a_kernel_can_freeze_is_in_the_fingerprint() -> None:
    """A kernel's module imports numbers from modules of the fingerprint alone."""
    covered = [*(f"{folder}/" for folder in compiled.KERNEL_FOLDERS), *compiled.KERNEL_FILES]
    strays = [
        f"{path.relative_to(PACKAGE)}: {node.module}.{name.name}"
        for path in kernel_modules()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("steadfall.")
        for name in node.names
        if isinstance(getattr(importlib.import_module(node.module or ""), name.name, None), int | float)
        and not file_of(node.module or "").startswith(tuple(covered))
    ]
    assert not strays


def file_of(module: str) -> str:
    """The file of a module, from the package's folder."""
    return Path(importlib.import_module(module).__file__ or "").relative_to(PACKAGE).as_posix()


def test_a_cache_that_cannot_be_written_does_not_stop_anybody(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder", encoding="utf-8")
    monkeypatch.setenv("STEADFALL_CACHE", str(blocked))
    assert compiled.cache_folder().is_dir()


def test_a_cache_without_kernels_is_cold(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiled, "FOLDER", tmp_path)
    assert compiled.cold()
    (tmp_path / "some").mkdir()
    assert not compiled.cold()


def test_every_compiled_function_is_cached_and_has_its_plain_form() -> None:
    from steadfall.predict.loop import advance  # noqa: PLC0415  (compiles nothing, but loads numba)

    dispatcher: Any = advance
    assert callable(dispatcher.py_func)
    assert dispatcher._cache._cache_path.startswith(str(compiled.FOLDER))


def test_a_kernel_runs_without_loading_what_no_kernel_uses() -> None:
    """Both can be loaded afterwards, as ever."""
    code = (
        "import sys\n"
        "from steadfall.plant.law.properties import volume_of_liquid\n"
        "assert volume_of_liquid(20.0) > 0.0\n"
        f"there = [name for name in {compiled.UNUSED} if name in sys.modules]\n"
        "import cffi, scipy.linalg\n"
        "print(there)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
