"""Where in the plan a place of the text is, though the text is not finished: the keys that lead there.

Rule of this file: it reads what stands before the place, never fails, and judges nothing. Indentation and
brackets are enough: a half-written plan has no tree.
"""

from __future__ import annotations

import re

from attrs import define, field, frozen

ITEM = "-"  # an entry of a list, in a path
# A key of a line of its own may hold signs that end one within brackets: `air lost, then back:`.
_KEY = re.compile(
    r"""(?P<key>"(?:[^"\\]|\\.)*"|'(?:[^']|'')*'|(?![\s'"#{}\[\],])(?:[^#:]|:(?=\S)|(?<=\S)\#)+?)\s*:(?=\s|$)"""
)
_QUOTED = re.compile(r"""\"(?:[^"\\]|\\.)*(?:"|$)|'(?:[^']|'')*(?:'|$)""")
_ESCAPED = re.compile(r"\\(.)")
_DASH = re.compile(r"-(?:\s+|$)")
_WORD = re.compile(r"[^\s{}\[\],:#][^{}\[\],:#]*$")


@frozen
class Where:
    """The keys from the top down to the table that holds a place, and what has been typed there.

    `key`: a key stands there, or would; else it is a value, and the last of `path` is its key.
    """

    path: tuple[str, ...]
    key: bool
    word: str


@define
class _Bracket:
    table: bool
    key: str | None = None


@define
class _Walk:
    """What is open where the walk has come to: keys by their indentation, then brackets within a value."""

    open: list[tuple[int, str]] = field(factory=list)
    brackets: list[_Bracket] = field(factory=list)
    held: str = ""  # what stands since the last sign
    valued: bool = False  # the last key has its colon

    def line(self, text: str) -> None:
        """Go through a line, or what of it stands before the place."""
        if not self.brackets:
            indent = len(text) - len(text.lstrip(" "))
            if not text.strip() or text.lstrip().startswith("#"):
                self.held, self.valued = "", False
                if text.strip() or not text:
                    return
            text = self._begin(text[indent:], indent)
        self._within(text)

    def _begin(self, text: str, indent: int) -> str:
        """Close what is not further out, open the dashes and the key of the line; gives the rest."""
        while self.open and self.open[-1][0] >= indent and not self._dash_below_its_key(text, indent):
            self.open.pop()
        while dash := _DASH.match(text):
            self.open.append((indent, ITEM))
            indent, text = indent + dash.end(), text[dash.end() :]
        self.valued = False
        if key := _KEY.match(text):
            self.open.append((indent, _unquoted(key["key"])))
            self.valued, text = True, text[key.end() :]
        return text

    def _dash_below_its_key(self, text: str, indent: int) -> bool:
        """A list may stand in line with its key."""
        return bool(_DASH.match(text)) and self.open[-1] == (indent, self.open[-1][1]) != (indent, ITEM)

    def _within(self, text: str) -> None:
        self.held, place = "", 0
        while place < len(text):
            fresh, letter = not self.held.strip(), text[place]
            if fresh and (quoted := _QUOTED.match(text, place)):
                self.held, place = self.held + quoted[0], quoted.end()
                continue
            place += 1
            if letter == "#" and (place == 1 or text[place - 2] == " "):
                self.held = ""
                return
            if letter in "{[" and (fresh or self.brackets):
                self.brackets.append(_Bracket(letter == "{"))
                self.held = ""
            elif self.brackets and letter in "}],:":
                self._sign(letter, text[place : place + 1])
            else:
                self.held += letter

    def _sign(self, letter: str, after: str) -> None:
        last = self.brackets[-1]
        if letter == ":" and (not last.table or after not in ("", " ")):
            self.held += letter
            return
        if letter == ":":
            last.key = _unquoted(self.held.strip())
        elif letter == ",":
            last.key = None
        else:
            self.brackets.pop()
        self.held = ""

    def where(self) -> Where:
        """What this is, at the end of the walk."""
        path = [name for _, name in self.open]
        for one in self.brackets:
            path += [ITEM] if not one.table else [one.key] if one.key is not None else []
        inside = bool(self.brackets)
        key = (self.brackets[-1].table and self.brackets[-1].key is None) if inside else not self.valued
        word = _WORD.search(self.held)
        typed = (word[0] if word else "") if inside else self.held.lstrip()
        return Where(tuple(path), key, typed)


def _unquoted(key: str) -> str:
    """A key without its quotes."""
    if key[:1] == "'":
        return key[1:-1].replace("''", "'")
    return _ESCAPED.sub(r"\1", key[1:-1]) if key[:1] == '"' else key


def where(text: str, offset: int) -> Where:
    """Where the place behind so many letters of a text is."""
    walk = _Walk()
    for line in text[:offset].split("\n"):
        walk.line(line)
    return walk.where()
