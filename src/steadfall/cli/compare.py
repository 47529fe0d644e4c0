"""`steadfall compare`: a plan and another, or a controller's text: equal for ever, or the shortest parting."""

from __future__ import annotations

import difflib
import hashlib
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import click

from steadfall.cli.guard import BAD, GOOD, print_json
from steadfall.cli.text import brought
from steadfall.logic.build import build
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plan.read import read_file
from steadfall.plan.write import write
from steadfall.prove.because import history_of, lines_of, sentences, since_power_up
from steadfall.prove.compare import EQUAL, PARTS, SECOND, Comparison, compare
from steadfall.prove.show import near
from steadfall.report.strips_text import Moment, strips_text
from steadfall.why.explain import explain
from steadfall.why.wording import PLAIN, Wording, wording_of

TEXTS = (".st", ".txt")
REASONS = 6  # lines for each side


@click.command("compare")
@click.argument("first", metavar="PLAN")
@click.argument("second", metavar="OTHER")
@click.option(
    "--map",
    "names",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Lines `name in the text: signal`; else the names that emit gives.",
)
@click.option(
    "--limit", metavar="SECONDS", default=60.0, type=click.FloatRange(min=0.1), help="For the whole; 60 if left out."
)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def command(first: str, second: str, names: Path | None, limit: float, as_json: bool) -> int:
    """Compare what the controllers of PLAN and OTHER do: equal for ever, or how they part.

    OTHER is a plan, or structured text from the controller (a name that ends with .st or .txt). Exit code 1 when they
    part, or when neither is known.
    """
    one = read_file(first)
    if Path(second).suffix.lower() in TEXTS:
        code = Path(second)
        other, words, changed = brought(one, code, names), PLAIN, None
        digest = hashlib.sha256(code.read_bytes()).hexdigest()
    else:
        two = read_file(second)
        other, words, changed, digest = build(two), wording_of(two), changes_of(one, two), two.digest
    first_network = build(one)
    found = compare(one, first_network, other, limit)
    if as_json:
        print_json(as_dict(found, (one.digest, digest), changed))
    else:
        click.echo(show(found, changed))
        sides = ((first, first_network, wording_of(one)), (second, other, words))
        click.echo("\n".join(parting(found, sides)), nl=found.trace is not None)
    return GOOD if found.verdict == EQUAL and not found.first_only and not found.second_only else BAD


def changes_of(one: Plan, two: Plan) -> list[str]:
    """What the two plans say differently, in one settled form of words; comments and layout do not count."""
    lines = difflib.unified_diff(write(one).splitlines(), write(two).splitlines(), lineterm="", n=0)
    return [line for line in lines if line[:1] in "+-" and line[:3] not in ("+++", "---")]


def show(found: Comparison, changed: list[str] | None) -> str:
    """The result in words, and where they part the two output traces side by side."""
    rows = [f"- only the first has {name}" for name in found.first_only]
    rows += [f"- only the second has {name}" for name in found.second_only]
    if changed is not None:
        rows += ["what the plans say differently:", *(f"  {line}" for line in changed or ["(nothing)"])]
    if found.verdict == EQUAL:
        checked = ", checked again by cvc5" if found.rechecked else ""
        rows.append(f"equal for ever: {', '.join(found.outputs)} ({found.engine}, {found.seconds:.1f} s{checked})")
    elif found.trace is None:
        rows.append(f"unknown: {found.note}")
    else:
        rows.append(f"they part: {', '.join(found.differing)} ({found.engine}, {found.seconds:.1f} s) {found.note}")
        rows.append(_strip(found))
    return "\n".join(rows)


def _strip(found: Comparison) -> str:
    """The strips up to where they part, both of each output under each other."""
    assert found.trace is not None  # noqa: S101 - asked by the caller
    end = found.trace.end_ms
    times = Counter(name for _, inputs in found.scans for name in inputs)
    moved = [name for name, count in times.items() if count > 1] or list(times)
    sides = [side for name in found.differing for side in (name, name + SECOND)]
    names = [name for name in (*moved, *sides) if name in found.trace.tracks]
    trace, window = near(found.trace, names)
    return strips_text(trace, names, window, moment=Moment(end, "here they part"))


def parting(found: Comparison, sides: Sequence[tuple[str, Network, Wording]]) -> Iterator[str]:
    """What each does at the moment of parting, and why; of the first output in which they part."""
    if found.trace is None or not found.differing:
        return
    begin_ms, scans = since_power_up(found.scans)
    for title, network, words in sides:
        history = history_of(network, begin_ms, scans)
        told = explain(network, history, found.differing[0], len(history) - 1, words)
        yield f"in {title}:"
        yield from (f"  {line}" for line in sentences(lines_of(told, REASONS)))


def as_dict(found: Comparison, digests: tuple[str, str], changed: list[str] | None) -> dict[str, Any]:
    """The result in stable names; `changed` is null where a text was compared."""
    return {
        "steadfall": 1,
        "verdict": found.verdict,
        "digests": list(digests),
        "outputs": list(found.outputs),
        "only_first": list(found.first_only),
        "only_second": list(found.second_only),
        "engine": found.engine,
        "seconds": round(found.seconds, 3),
        "rechecked": found.rechecked,
        "differing": list(found.differing),
        "parted_at_ms": found.trace.end_ms if found.verdict == PARTS and found.trace else None,
        "steps": [{"scan_ms": dt, "inputs": dict(inputs)} for dt, inputs in found.scans],
        "changed": changed,
        "note": found.note,
    }
