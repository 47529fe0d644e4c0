"""What the page says as a gettext template, gathered from the rooms that say it: `words/steadfall.pot`."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from steadfall.app.new import QUESTIONS
from steadfall.words import FOLDER

CATALOGUE = FOLDER / "steadfall.pot"
SOURCES = FOLDER.parent
ROOMS = ("app", "trial", "web")
HEAD = """# Words of the page. A language is LANGUAGE/LC_MESSAGES/steadfall.mo beside this file.
msgid ""
msgstr "Content-Type: text/plain; charset=UTF-8\\n"
"""


def catalogue() -> str:
    """The template: each word once, in the order of the files, with where it stands."""
    places: dict[str, list[str]] = {}
    paths = (path for room in ROOMS for path in sorted((SOURCES / room).rglob("*.py")))
    for path in paths:
        for words in _said(ast.parse(path.read_text(encoding="utf-8"))):
            seen = places.setdefault(words, [])
            name = path.relative_to(SOURCES).as_posix()
            seen += [name] if name not in seen else []
    for words in dict.fromkeys(_asked()):
        places.setdefault(words, []).append("app/new.py")
    rows = (f'#: {" ".join(of)}\nmsgid {_quoted(words)}\nmsgstr ""\n' for words, of in places.items())
    return "\n".join([HEAD, *rows])


def _asked() -> Iterator[str]:
    """The questions of a new plan, which stand in a table."""
    for one in QUESTIONS.values():
        yield from (one.group, one.words, *(words for _, words in one.options))


def _said(tree: ast.AST) -> Iterator[str]:
    """What stands in `_(...)`; anything but a plain text there cannot be translated."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "_":
            (given,) = node.args
            if not isinstance(given, ast.Constant) or not isinstance(given.value, str):
                raise ValueError(f"line {node.lineno}: only a plain text can be translated")
            yield given.value


def _quoted(words: str) -> str:
    escaped = words.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'
