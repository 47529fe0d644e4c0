"""The notes of a run for people: what is said of several circuits alike is said once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from attrs import frozen

from steadfall.predict.outcome.result import Note
from steadfall.quantities import clock
from steadfall.report.words.names import spoken


@frozen
class Told:
    """A note: what it is about, and what there is to know."""

    about: str
    words: str


def told(notes: Iterable[Note]) -> Iterator[Told]:
    """Each note once, in the order of the first of its kind; the names of all that it is about."""
    alike: dict[tuple[str, bool], list[Note]] = {}
    for note in notes:
        alike.setdefault((note.sentence, note.since_ms is None), []).append(note)
    for (sentence, _), same in alike.items():
        about = " and ".join(_listed([spoken(note.about) for note in same if note.about]))
        yield Told(about, f"{_since(same)}{sentence}")


def _since(notes: Iterable[Note]) -> str:
    """When it began, in the order of the names; once where that is the same for all."""
    times = [clock(note.since_ms) for note in notes if note.since_ms is not None]
    if not times:
        return ""
    return f"from {' and '.join(_listed(times if len(set(times)) > 1 else times[:1]))}: "


def _listed(words: list[str]) -> list[str]:
    """All but the last with commas, as they stand before an `and`."""
    return [", ".join(words[:-1]), words[-1]] if len(words) > 1 else words
