"""How hard to try, and with what."""

from __future__ import annotations

from attrs import frozen

from steadfall.prove.engines import bounded, bounds, induction, onward, spacer

ONE_STEP, RUNS = "one step", "runs"
ENGINES = (RUNS, ONE_STEP, spacer.NAME, induction.NAME, onward.NAME, bounds.NAME, bounded.NAME)


@frozen
class Ask:
    """How hard to try: seconds for each requirement, engines, whether cvc5 checks at once."""

    seconds: float = 30.0
    engines: frozenset[str] = frozenset(ENGINES)
    recheck: bool = True
