"""Every requirement of a plan, under every input, for ever; and stored proofs checked again."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import cached_property
from pathlib import Path
from typing import Any

from attrs import evolve, field, frozen

from steadfall import store
from steadfall.app.given import files
from steadfall.app.given.controller import Controller
from steadfall.app.given.document import document, json_text
from steadfall.app.given.stored import otherwise, read_stored, same_faults
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.progress import SILENT, Progress
from steadfall.prove.decide.ask import EFFORT, Ask
from steadfall.prove.decide.processes import AtTheLimit, Hands, Patience, hands
from steadfall.prove.decide.result import Proof, Verdict
from steadfall.prove.explain.violations import Violation, violations
from steadfall.prove.explain.witness import Witnessed, witnesses
from steadfall.prove.requirements.faults import read_faults
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.whole.check_again import recheck_stored
from steadfall.prove.whole.plan import prove_whole
from steadfall.prove.whole.recheck_faults import recheck_under
from steadfall.prove.whole.run import patience
from steadfall.prove.whole.run import prove as prove_some
from steadfall.prove.whole.shape import FILE
from steadfall.report.page.proof import NAME, proof_page
from steadfall.source import Text

KEPT = "proofs"  # the folder of what was found before, in the cache folder


@frozen
class How:
    """How to prove: which requirements, how hard, under which faults, and how long a person waits.

    `effort`: so many times the usual work for each requirement. `limit`: seconds for all of it. `anew`: what
    was found before is neither used nor kept.
    """

    only: tuple[str, ...] = ()
    effort: float = 1.0
    limit: float | None = None
    faults: tuple[str, ...] = ()
    anew: bool = False


@frozen(eq=False)
class Proved:
    """The verdicts on a plan, and what can be drawn of them."""

    plan: Plan
    proof: Proof
    code: Text | None = None
    _of: Watched = field(repr=False, kw_only=True)
    _network: Network | None = field(default=None, repr=False, kw_only=True)
    _waits: Patience = field(default=Patience(), repr=False, kw_only=True)

    @property
    def good(self) -> bool:
        """Whether every requirement is proved, without faults and with those of the plan."""
        return self.proof.good

    @property
    def left_out(self) -> tuple[str, ...]:
        """Requirements that speak of signals which the controller's text does not have."""
        return self._of.left_out

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        """What is known of each requirement."""
        return self.proof.verdicts

    @cached_property
    def violations(self) -> list[Violation]:
        """How each refuted requirement is broken; none are worked out after Ctrl-C or the limit, and only so
        many as there is time for.
        """
        found = list[Violation]()
        self._in_time(lambda own: found.extend(violations(self._of, self._network, self.proof, own)))
        return found

    def witnesses(self, names: Sequence[str] | None = None) -> dict[str, Witnessed]:
        """Runs in which proved requirements apply, by name; none after Ctrl-C or the limit."""
        rows = [row for row in self.verdicts if names is None or row.required.name in names]
        found: dict[str, Witnessed] = {}
        self._in_time(lambda own: found.update(own.one(witnesses, self._of, rows) if rows else ()))
        return found

    def _in_time(self, draw: Callable[[Hands], None]) -> None:
        """Draws while a person's patience lasts; where it ends, by a process that can be ended."""
        if self.proof.stopped:
            return
        limited = math.isfinite(self._waits.until)
        with suppress(AtTheLimit), hands(1 if limited else 0, self._waits) as own:
            draw(own)

    def write(self, folder: str | Path) -> Path:
        """Store verdicts and certificates in a folder; raises OutsideError where that cannot be."""
        return files.write({FILE: json_text(self.as_json())}, Path(folder))[0]

    def page(self, checked: str = "", *, dated: str = "") -> str:
        """The page as text, with a date or with room for one."""
        return proof_page(self.plan, self.proof, self.violations, self.witnesses(), checked, dated)

    def write_page(self, folder: str | Path, checked: str = "", *, dated: str = "") -> Path:
        """Write the page, with a date or with room for one; `checked` is when a stored proof was checked
        again.
        """
        page = self.page(checked, dated=dated)
        return files.write({NAME: page}, Path(folder))[0]

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        code = {"code": None if self.code is None else self.code.as_json()}
        left_out = {"left_out": list(self.left_out)}
        return document(self.plan, self.good, {**code, **left_out, **self.proof.as_json()})


def prove(
    plan: Plan, how: How | None = None, code: Controller | None = None, progress: Progress = SILENT
) -> Proved:
    """Prove what must hold; what is proved when it is stopped is kept.

    Raises PlanError where a requirement or a fault is asked for that there is not.
    """
    how, network = how or How(), code.network if code else None
    waits = patience(progress, how.limit)
    named = _named(plan, code)
    faults = read_faults(named, how.faults)
    of = watched(named, network, faults)
    ask = Ask(int(EFFORT * how.effort), store=None if how.anew else store.users_store(KEPT))
    progress.step(0, None, "getting ready")
    if how.faults:
        proof = prove_some(named, how.only, ask, progress, faults=faults, network=network, limit=how.limit)
    else:
        proof = prove_whole(named, how.only, ask, progress, network=network, limit=how.limit)
    waits = Patience(until=waits.until)  # whoever is told how far it is has gone
    return Proved(plan, proof, code.text if code else None, of=of, network=network, waits=waits)


def recheck(
    plan: Plan,
    folder: str | Path,
    code: Controller | None = None,
    only: Sequence[str] = (),
    faults: Sequence[str] = (),
) -> Proved:
    """Check the proofs stored in a folder again, with cvc5 alone; raises OutsideError where none fits.

    `only`, `faults`: what is asked about, as of `prove`; a stored proof that says nothing of it is not good.
    """
    text = code.text if code else None
    stored = read_stored(Path(folder), plan, text)
    named, network = _named(plan, code), code.network if code else None
    of = watched(named, network, read_faults(named, faults))
    same_faults(stored, of.faults.phrases, Path(folder))
    proof = recheck_stored(of, stored, only)
    if not faults:
        proof = recheck_under(named, network, stored, proof)
    made = Proved(plan, proof, text, of=of, network=network)
    found = tuple(otherwise(stored, made.as_json()))
    return evolve(made, proof=evolve(proof, differences=(*proof.differences, *found)))


def _named(plan: Plan, code: Controller | None) -> Plan:
    """The plan, named after both texts where it stands with another's: no proof passes for another."""
    if code is None:
        return plan
    return evolve(plan, digest=hashlib.sha256(f"{plan.digest}{code.text.digest}".encode()).hexdigest())
