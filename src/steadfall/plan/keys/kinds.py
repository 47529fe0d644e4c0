"""What a key of a plan can hold: the kinds of value, as data.

Rule of this file: data only. `plan.keys.value` reads a value of each kind, `plan.keys.schema` and
`plan.keys.reference` describe it, each by a table keyed by these classes; a test fails when a table lacks
one.
"""

from __future__ import annotations

from typing import Any, TypedDict, Unpack

from attrs import frozen


@frozen
class Text:
    """Any text."""


@frozen
class Ref:
    """The name of something in the plan."""


@frozen
class Solid:
    """The name of a solid, of the plan's own or built in."""


@frozen
class Refs:
    """A list of names."""

    least: int = 1
    most: int = 1000


@frozen
class Words:
    """One of a few words; with `means` the value that each stands for."""

    words: tuple[str, ...]
    means: tuple[Any, ...] = ()

    def meaning(self, word: str) -> Any:
        """What a word stands for: itself where nothing else is said."""
        return self.means[self.words.index(word)] if self.means else word


@frozen
class Whole:
    """A whole number within bounds."""

    least: int
    most: int


@frozen
class Number:
    """A number without a unit within bounds."""

    least: str
    most: str


@frozen
class Amount:
    """A quantity of one dimension, within bounds; with `above` the lower bound itself is refused. One that is
    `set` may be a setting by its name.
    """

    dimension: str
    least: str
    most: str
    above: bool = False
    set: bool = False


@frozen
class Time:
    """A time in whole milliseconds within bounds; `counted` by a timer of the controller; one that is `set`
    may be a setting by its name.
    """

    least: str
    most: str
    counted: bool = False
    set: bool = False


@frozen
class Measure:
    """A quantity whose dimension follows from what it is compared with."""

    dimensions: tuple[str, ...]


@frozen
class Span:
    """Two quantities and the unit of both: `0 .. 250 degC`."""

    dimensions: tuple[str, ...]


@frozen
class Bound:
    """`at most` or `at least` and a quantity."""

    dimension: str


@frozen
class Phrase:
    """A condition; see `plan.text.phrase`. Its times are `counted` by timers where the controller works it
    out.
    """

    counted: bool = True


@frozen
class Phrases:
    """A list of conditions."""


@frozen
class Pattern:
    """A short sentence of fixed form, by a regular expression whose named groups fill a class."""

    regex: str
    words: str
    makes: type


@frozen
class One:
    """A table with the keys of a section."""

    section: str


@frozen
class Named:
    """A table of names, each with the keys of a section; `free` names may be any text, `dotted` ones
    `CIRCUIT.name`.
    """

    section: str
    free: bool = False
    dotted: bool = False


@frozen
class Many:
    """A list of tables, each of one of these sections, told apart by the first key of each.

    With `short` an entry may be a text alone, which stands for that first key.
    """

    sections: tuple[str, ...]
    short: bool = False


@frozen
class Either:
    """One of several kinds; the first that fits the look of the value."""

    kinds: tuple[Kind, ...]


Kind = (
    Text
    | Ref
    | Solid
    | Refs
    | Words
    | Whole
    | Number
    | Amount
    | Time
    | Measure
    | Span
    | Bound
    | Phrase
    | Phrases
    | Pattern
    | One
    | Named
    | Many
    | Either
)


@frozen
class Key:
    """One key of a section: what it holds, what it means, an example; `default` is as it would be written.

    `into` is the field that holds its value, where that is called otherwise than the key. `tolerance` is what
    a tolerance calls its number, behind the name of the thing; "" where the number may not be off. Of what
    stands under a `control` key the controller is made: of all of it, or of the keys there that are such too.

    A key `of_plant` is required only where the plan has a plant; one that `shows_plant` says that it has.
    """

    name: str
    kind: Kind
    doc: str
    example: str
    required: bool = False
    default: str | None = None
    into: str = ""
    tolerance: str = ""
    control: bool = False
    of_plant: bool = False
    shows_plant: bool = False

    @property
    def field(self) -> str:
        """The field that holds its value."""
        return self.into or self.name


class _More(TypedDict, total=False):
    """What else may be said of a key."""

    into: str
    tolerance: str
    control: bool
    of_plant: bool
    shows_plant: bool


@frozen
class Section:
    """A table of the plan: its keys, and what any further key holds (a stage names valves, a step names
    signals).

    `makes` is the class whose fields the keys fill; without one the section is a plain table of what is
    given. Of each group in `one_of` exactly one key is given. A `tall` table is written over several lines.
    """

    name: str
    doc: str
    keys: tuple[Key, ...]
    others: Key | None = None
    makes: type | None = None
    one_of: tuple[tuple[str, ...], ...] = ()
    tall: bool = False

    @property
    def every_key(self) -> tuple[Key, ...]:
        """All keys in the order in which they are written: a name first, then what further keys name."""
        return (*self.keys[:1], *((self.others,) if self.others else ()), *self.keys[1:])


def must(name: str, kind: Kind, doc: str, example: str, **more: Unpack[_More]) -> Key:
    """A key that must be given."""
    return Key(name, kind, doc, example, required=True, **more)


def may(
    name: str, kind: Kind, doc: str, example: str, *, default: str | None = None, **more: Unpack[_More]
) -> Key:
    """A key that may be left out."""
    return Key(name, kind, doc, example, default=default, **more)


def section(
    name: str,
    makes: type | None,
    doc: str,
    *keys: Key,
    others: Key | None = None,
    one_of: tuple[tuple[str, ...], ...] = (),
    tall: bool = False,
) -> Section:
    """A section of the table of keys, row by row."""
    return Section(name, doc, keys, others, makes, one_of, tall)
