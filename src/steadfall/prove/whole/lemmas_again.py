"""Stored lemmas held against the plan as it is now: each set is checked once, for all that leans on it.

Rule of this file: a set must be about requirements of one circuit, or about one of none, leave free what
those leave free, and say which of its lemmas each of them takes; else it ends with a sentence that names the
place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from attrs import define, field

from steadfall.prove.decide.by_lemmas import group_of
from steadfall.prove.decide.lemma_set import ByLemmas, LemmaSet, confirmed
from steadfall.prove.decide.result import VACUOUS
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.solver.term_text import NotATermError
from steadfall.prove.whole.cuts import model_of
from steadfall.prove.whole.shape import FILE, shown, wrong
from steadfall.source import OutsideError

Stored = Mapping[str, Any]


def is_by_lemmas(certificate: Stored) -> bool:
    """Whether a stored certificate leans on lemmas."""
    return "lemmas" in certificate


@define(eq=False)
class LemmasAgain:
    """The lemmas that are stored with some rows. `wanted`: the requirements that are asked about."""

    of: Watched
    stored: Stored
    wanted: Sequence[Required]
    under: str = ""  # the fault that they are about
    _sets: dict[str, LemmaSet] = field(factory=dict)
    _passed: dict[str, frozenset[str]] = field(factory=dict)

    def certificate(self, one: Required, row: Stored, place: str) -> ByLemmas:
        """The stored certificate of a requirement."""
        kept, where = row["certificate"], f"{place}: certificate"
        known = {each["name"]: each for each in reversed(self.stored["lemmas"])}
        if kept["lemmas"] not in known:
            raise wrong(f"{where}: lemmas", shown(kept["lemmas"]), "the name of lemmas that are stored")
        found = self._set(known[kept["lemmas"]])
        if row["verdict"] == VACUOUS or one.name not in found.about:
            raise wrong(f"{where}: lemmas", shown(found.name), "lemmas about what is proved by them")
        if not all(number < len(found.lemmas) for number in kept["which"]):
            raise wrong(f"{where}: which", shown(kept["which"]), f"numbers below {len(found.lemmas)}")
        return ByLemmas(found, tuple(kept["which"]))

    def _set(self, stored: Stored) -> LemmaSet:
        name, place = stored["name"], self._place(stored["name"])
        if name not in self._sets:
            rows = {row.name: row for row in self.of.required}
            about = [rows.get(word) for word in stored["about"]]
            own = [row for row in about if row is not None and name == (row.circuit or row.name)]
            if not name or not own or len(own) != len(about):
                raise wrong(f"{place}: about", shown(stored["about"]), f"requirements of {name!r}")
            freed = group_of(self.of, name, own).freed
            if list(freed) != stored["freed"]:
                raise wrong(f"{place}: freed", shown(stored["freed"]), shown(list(freed)))
            rest = (tuple(stored[key]) for key in ("freed", "about", "lemmas"))
            self._sets[name] = LemmaSet(name, *rest)
        return self._sets[name]

    def _place(self, name: str) -> str:
        place = f"lemmas of {shown(name)}"
        return f"with {self.under}: {place}" if self.under else place

    def passed(self, one: Required, certificate: ByLemmas) -> bool:
        """Whether cvc5 confirms that lemmas exclude what breaks a requirement."""
        kept = certificate.of
        if kept.name not in self._passed:
            try:
                self._passed[kept.name] = confirmed(model_of(self.of, kept), kept, self._goals(kept))
            except NotATermError as error:
                raise OutsideError(f"{FILE}: {self._place(kept.name)}: {error}") from None
        return one.bad in self._passed[kept.name]

    def _goals(self, kept: LemmaSet) -> dict[str, tuple[int, ...]]:
        """What is asked about of those that lean on a set, with their own lemmas."""
        rows = {row["name"]: row for row in reversed(self.stored["requirements"])}
        found = {}
        for one in self.wanted:
            row = rows.get(one.name)
            lean = row and row["certificate"] and is_by_lemmas(row["certificate"])
            if row and lean and row["certificate"]["lemmas"] == kept.name and one.name in kept.about:
                found[one.bad] = tuple(row["certificate"]["which"])
        return found
