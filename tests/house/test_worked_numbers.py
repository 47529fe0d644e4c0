"""The worked numbers of docstrings: each is run, so that none says what its function no longer gives."""

from __future__ import annotations

import ast
import doctest
import importlib
from collections.abc import Iterator
from pathlib import Path

import pytest

import steadfall

SOURCE = Path(steadfall.__file__).parent
FILES = sorted(path for path in SOURCE.rglob("*.py") if ">>> " in path.read_text(encoding="utf-8"))


def module_of(path: Path) -> str:
    return ".".join(("steadfall", *path.relative_to(SOURCE).with_suffix("").parts))


def worked(path: Path) -> Iterator[doctest.DocTest]:
    """By the text and not by the objects, as a compiled function hides its docstring."""
    known = vars(importlib.import_module(module_of(path)))
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        said = (
            ast.get_docstring(node) if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Module) else None
        )
        if said and ">>> " in said:
            name = getattr(node, "name", path.stem)
            yield doctest.DocTestParser().get_doctest(said, dict(known), name, str(path), 0)


@pytest.mark.parametrize("path", FILES, ids=module_of)
def test_a_worked_number_is_what_its_function_gives(path: Path) -> None:
    runner, told = doctest.DocTestRunner(verbose=False), list[str]()
    for one in worked(path):
        runner.run(one, out=told.append)
    assert not told, "".join(told)
    assert runner.summarize(verbose=False).attempted > 0
