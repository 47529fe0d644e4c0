"""How hard to try, and with what."""

from __future__ import annotations

from attrs import frozen

from steadfall.prove.engines import bounded, onward, spacer
from steadfall.prove.lemmas import found as lemmas
from steadfall.prove.runs import far
from steadfall.store import Store

ONE_STEP, RUNS = "one step", "runs"
ENGINES = (
    RUNS,
    lemmas.NAME,
    ONE_STEP,
    spacer.NAME,
    far.NAME,
    onward.NAME,
    bounded.NAME,
)
EFFORT = 60_000_000  # units of the solver's work, see `prove.solver.budget`


@frozen
class Ask:
    """How hard to try: units of work for each requirement, engines, whether cvc5 checks at once; where what
    is found is kept and looked for, if anywhere.
    """

    effort: int = EFFORT
    engines: frozenset[str] = frozenset(ENGINES)
    recheck: bool = True
    store: Store | None = None
