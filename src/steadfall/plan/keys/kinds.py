"""What a key of a plan can hold: the kinds of value, as data.

Rule of this file: data only. `plan.keys.value` reads a value of each kind, `plan.keys.schema` and
`plan.keys.reference` describe it, each by a table keyed by these classes; a test fails when a table lacks
one.
"""

from __future__ import annotations

from attrs import frozen


@frozen
class Text:
    """Any text."""


@frozen
class Ref:
    """The name of something in the plan."""


@frozen
class Refs:
    """A list of names."""

    least: int = 1
    most: int = 1000


@frozen
class Words:
    """One of a few words."""

    words: tuple[str, ...]


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
    """A quantity of one dimension, within bounds; with `above` the lower bound itself is refused."""

    dimension: str
    least: str
    most: str
    above: bool = False


@frozen
class Time:
    """A time that the controller counts: whole milliseconds within bounds."""

    least: str
    most: str


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
    """A condition; see `plan.text.phrase`."""


@frozen
class Phrases:
    """A list of conditions."""


@frozen
class Pattern:
    """A short sentence of fixed form, by a regular expression with named groups."""

    regex: str
    words: str


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
    """One key of a section: what it holds, what it means, an example; `default` is as it would be written."""

    name: str
    kind: Kind
    doc: str
    example: str
    required: bool = False
    default: str | None = None


@frozen
class Section:
    """A table of the plan: its keys, and what any further key holds (a stage names valves, a step names
    signals).
    """

    name: str
    doc: str
    keys: tuple[Key, ...]
    others: Key | None = None

    def key(self, name: str) -> Key | None:
        """The key of this name."""
        return next((key for key in self.keys if key.name == name), None)
