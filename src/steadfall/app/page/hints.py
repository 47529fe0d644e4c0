"""Help while a plan is typed: what may stand here, and what a key means. All of it is the table of keys."""

from __future__ import annotations

from typing import Any

from attrs import asdict, frozen

from steadfall.plan.keys.kinds import Key
from steadfall.plan.keys.place import key_of, keys_at, kinds_at, words_of
from steadfall.plan.text.where import where

ENDS = "{}[],:#\n"


@frozen
class Hint:
    """A key or a word that may stand at a place: what it is for, an example, what holds without it."""

    label: str
    says: str
    example: str = ""
    default: str = ""
    needed: bool = False
    key: bool = True

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return asdict(self)


def completions(text: str, offset: int) -> tuple[Hint, ...]:
    """What may be typed behind so many letters: keys of the table there, or the words of a value."""
    here = where(text, offset)
    if here.key:
        return tuple(_hint(key) for key in keys_at(here.path) if key.name.startswith(here.word))
    key = key_of(here.path)
    says = key.doc if key else ""
    found = [word for kind in kinds_at(here.path) for word in words_of(kind)]
    return tuple(Hint(word, says, key=False) for word in dict.fromkeys(found) if word.startswith(here.word))


def word(text: str, offset: int) -> str:
    """What has been typed of the word behind so many letters."""
    return where(text, offset).word


def explained(text: str, offset: int) -> Hint | None:
    """What the key at this place means; of a value, its key. None where no key of ours stands."""
    end = offset
    while end < len(text) and text[end] not in ENDS:
        end += 1
    here = where(text, end)
    path = (*here.path, here.word.strip()) if here.key else here.path
    key = key_of(path) if path else None
    return _hint(key) if key else None


def _hint(key: Key) -> Hint:
    return Hint(key.name, key.doc, key.example, key.default or "", key.required)
