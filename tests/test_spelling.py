"""What a signal or a quantity is stands in its identity; no code reads it from how a name is spelled."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from tests.examples import ROOT

PACKAGE = ROOT / "src" / "steadfall"
CUTTING = {"partition", "rpartition", "split", "rsplit"}
LOOKING = {"startswith", "endswith", "removeprefix", "removesuffix"}

# Files that take text apart at a dot or a colon, and what text it is.
ALLOWED = {
    "app/given/called.py": "the name of a file",
    "app/page/desk.py": "the name of a file",
    "app/page/knobs.py": "a number of a plan's text",
    "cli/bench.py": "what is rehearsed with, and its seed",
    "extras.py": "the package of a module that is not installed",
    "plan/meaning/names.py": "a name as a plan writes it, `CIRCUIT.NAME`",
    "plan/problems.py": "the same, to say which part of it is misspelt",
    "plan/read/table.py": "a key of a plan",
    "plan/revise/renames.py": "names in a plan's text, to be written anew",
    "plan/text/phrase.py": "a word of a condition, as it is written",
    "report/figure/svg.py": "a number without its `.0`",
    "roles.py": "leaves out the circuit's name where it goes without saying",
    "prove/whole/run.py": "what a person typed for a requirement",
    "st/read/address.py": "an address of a controller's text",
    "st/read/finish.py": "a variable of a controller's text and its owner",
    "st/read/frame.py": "the same",
    "st/read/literal.py": "a number of a controller's text",
    "st/read/statements.py": "a path of a controller's text",
    "st/write/literal.py": "a number",
    "upset/alike.py": "a name of a plan, part by part, to put others in their place",
    "web/serve.py": "an address of the network",
    "web/view/cooldown.py": "a number",
    "web/view/parts/hands.py": "a number",
}


def found(tree: ast.AST) -> Iterator[int]:
    """The lines on which a string is taken apart, or looked at, by a literal with a dot or a colon in it."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            cuts, looks = node.func.attr in CUTTING, node.func.attr in LOOKING
            texts = [text for part in node.args for text in literals(part)]
            if (cuts and set(texts) & {".", ":"}) or (looks and any("." in text for text in texts)):
                yield node.lineno
        elif isinstance(node, ast.Compare) and _sought(node) & {".", ":"}:
            yield node.lineno


def _sought(node: ast.Compare) -> set[str]:
    """The literal that is looked for in something."""
    looks = isinstance(node.ops[0], ast.In | ast.NotIn)
    return {str(node.left.value)} if looks and isinstance(node.left, ast.Constant) else set()


def literals(node: ast.expr) -> Iterator[str]:
    """Every literal text within an argument."""
    for part in ast.walk(node):
        if isinstance(part, ast.Constant) and isinstance(part.value, str):
            yield part.value


def places() -> dict[str, list[int]]:
    """The lines by file."""
    files = {path.relative_to(PACKAGE).as_posix(): path for path in sorted(PACKAGE.rglob("*.py"))}
    rows = {name: sorted(found(ast.parse(path.read_text("utf-8")))) for name, path in files.items()}
    return {name: lines for name, lines in rows.items() if lines}


def test_no_name_is_taken_apart() -> None:
    assert {name: lines for name, lines in places().items() if name not in ALLOWED} == {}


def test_what_is_allowed_is_in_use() -> None:
    assert set(ALLOWED) <= set(places())
