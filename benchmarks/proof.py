"""The proof of every example: the whole list with certificates, checked again by cvc5; and each engine on its own."""

from __future__ import annotations

import resource
from collections.abc import Iterable
from pathlib import Path

from benchmarks.table import Row
from steadfall.logic.build import build
from steadfall.plan.read import read_file
from steadfall.prove import bounded, spacer
from steadfall.prove.compare import compare
from steadfall.prove.decide import ONE_STEP, Ask
from steadfall.prove.result import PROVED, REFUTED
from steadfall.prove.run import prove

EXAMPLES = Path(__file__).parent.parent / "examples"
PLAIN = 3.0  # s for each requirement where one engine is asked alone


def rows() -> Iterable[Row]:
    """Seconds for the list of each example on two processes, how many are settled, memory, a comparison."""
    for path in sorted(EXAMPLES.glob("*.yaml")):
        plan = read_file(path)
        proof = prove(plan, ask=Ask(seconds=30.0))
        settled = sum(one.verdict in (PROVED, REFUTED) for one in proof.verdicts)
        checked = sum(one.rechecked is True for one in proof.verdicts)
        floor = 10.0 if path.stem == "press" else None
        yield Row(
            f"{path.stem}: {len(proof.verdicts)} requirements, certificates, checked again", proof.seconds, "s", floor
        )
        yield Row(f"{path.stem}: proved or refuted", 100 * settled / len(proof.verdicts), "%", 100.0, at_least=True)
        yield Row(f"{path.stem}: certificates that cvc5 confirms", float(checked), "")
    used = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    yield Row("most memory of a proving process", used, "MB", 2000.0)
    plan = read_file(EXAMPLES / "press.yaml")
    same = compare(plan, build(plan), build(plan))
    yield Row("press: compared with itself, equal for ever", same.seconds, "s", 20.0)


def plain_rows() -> Iterable[Row]:
    """The same list by one engine alone: how much it settles, in what time."""
    plan = read_file(EXAMPLES / "press.yaml")
    for engines in ((spacer.NAME,), (bounded.NAME,), (ONE_STEP,)):
        ask = Ask(seconds=PLAIN, engines=frozenset(engines), recheck=False)
        proof = prove(plan, ask=ask)
        known = sum(one.verdict in (PROVED, REFUTED) or one.certificate is not None for one in proof.verdicts)
        words = f"press by {engines[0]} alone, {PLAIN:g} s each"
        yield Row(f"{words}: settled", 100 * known / len(proof.verdicts), "%")
        yield Row(f"{words}: time", proof.seconds, "s")
