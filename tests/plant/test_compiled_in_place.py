"""What is compiled in place goes by the rules of the kernel round it: that one must count no references."""

from __future__ import annotations

import ast
from pathlib import Path

import steadfall

SOURCES = Path(steadfall.__file__).parent
LEAN = {"lean_kernel", "inlined_kernel"}


def kernels() -> dict[str, tuple[str, set[str]]]:
    """Every compiled function: its decorator, and the names that it calls."""
    found = {}
    for folder in ("plant", "predict"):
        for path in (SOURCES / folder).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if not isinstance(node, ast.FunctionDef):
                    continue
                marks = {mark.id for mark in node.decorator_list if isinstance(mark, ast.Name)}
                for mark in marks & {*LEAN, "kernel"}:
                    found[node.name] = mark, _called(node)
    return found


def _called(node: ast.FunctionDef) -> set[str]:
    calls = (inner.func for inner in ast.walk(node) if isinstance(inner, ast.Call))
    return {call.id for call in calls if isinstance(call, ast.Name)}


def test_no_kernel_that_counts_references_takes_one_in() -> None:
    found = kernels()
    in_place = {name for name, (mark, _) in found.items() if mark == "inlined_kernel"}
    assert "step" in in_place
    counting = {name: called & in_place for name, (mark, called) in found.items() if mark not in LEAN}
    assert counting
    assert not {name: taken for name, taken in counting.items() if taken}
