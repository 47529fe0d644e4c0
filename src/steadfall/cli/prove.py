"""`steadfall prove`: every requirement of a plan, under every input, for ever."""

from __future__ import annotations

import hashlib
import json
import sys
from pathlib import Path

import click
from attrs import evolve
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn

from steadfall.cli.guard import BAD, GOOD, print_json
from steadfall.cli.text import takes_text
from steadfall.emit.bring import bring
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plan.read import read_file
from steadfall.prove.check_again import FILE, read_stored, recheck_stored
from steadfall.prove.contradictions import lines
from steadfall.prove.decide import Ask
from steadfall.prove.faults import read_faults, together
from steadfall.prove.recheck_faults import recheck_under
from steadfall.prove.requirements import Watched, watched
from steadfall.prove.result import REFUTED, Proof, Verdict
from steadfall.prove.run import prove
from steadfall.prove.show import shown, table
from steadfall.prove.show_faults import fault_table
from steadfall.prove.trace import origins, trace_of
from steadfall.prove.whole import prove_whole
from steadfall.report.strips_text import Moment, strips_text


@click.command("prove")
@click.argument("plan", metavar="PLAN")
@click.option("--only", metavar="NAME", multiple=True, help="Only the requirements of this name, circuit or valve.")
@click.option(
    "--out",
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="Store verdicts and certificates there.",
)
@click.option(
    "--limit",
    metavar="SECONDS",
    default=30.0,
    type=click.FloatRange(min=0.1),
    help="For each requirement; 30 if left out.",
)
@click.option("--faults", metavar="FAULT", multiple=True, help="'power cut', 'NAME stuck off', ...; see docs/proof.md.")
@click.option("--recheck", is_flag=True, help="Check the proofs stored in DIR again, with cvc5 alone.")
@takes_text
@click.option("--json", "as_json", is_flag=True, help="Print the verdicts as JSON (names: docs/proof.md).")
def command(
    plan: str,
    only: tuple[str, ...],
    out: Path | None,
    limit: float,
    faults: tuple[str, ...],
    recheck: bool,
    code: Path | None,
    names: Path | None,
    as_json: bool,
) -> int:
    """Prove what must hold of PLAN under every input and every scan time, or show how it is broken.

    Exit code 1 when a requirement is refuted, vacuous or unknown.
    """
    found = read_file(plan)
    if code:  # a proof of this text must not pass for one of the plan, nor of another text
        found = evolve(found, digest=hashlib.sha256(found.digest.encode() + code.read_bytes()).hexdigest())
    stored = read_stored(_folder(out), found) if recheck else None
    wrong = read_faults(found, stored["faults"] if stored else faults)
    network = bring(found, code, names) if code else None
    of = watched(found, network, wrong)
    if stored:
        proof = evolve(recheck_stored(of, stored), under=recheck_under(found, network, stored))
    else:
        with _Bar() as bar:
            how = (found, only, Ask(seconds=limit), bar.tell)
            proof = prove(*how, faults=wrong, network=network) if faults else prove_whole(*how, network=network)
    if as_json:
        print_json(proof.as_json())
    else:
        click.echo("\n".join([table(proof), *lines(proof.contradictions)]))
        for verdict in proof.verdicts:
            if verdict.verdict == REFUTED:
                click.echo("\n" + strip(of, verdict))
        _show_faults(found, network, proof)
    if out is not None and not recheck:
        click.echo(f"wrote {store(proof, out)}", err=True)
    return GOOD if proof.good else BAD


def _show_faults(plan: Plan, network: Network | None, proof: Proof) -> None:
    """The second table, and how each fault of the plan breaks what it must not."""
    if proof.under:
        click.echo("\n" + fault_table(proof))
    for row, fault in zip(proof.under, plan.faults, strict=False):
        of = watched(plan, network, together(plan, [fault]))
        for verdict in row.broken:
            if verdict.verdict == REFUTED and verdict.required.name not in row.allowed:
                click.echo(f"\nwith {row.fault}: " + strip(of, verdict))


def _folder(out: Path | None) -> Path:
    if out is None:
        raise click.UsageError("--recheck needs --out DIR, where the proofs were stored")
    return out


def strip(of: Watched, verdict: Verdict) -> str:
    """A violation as a timing strip, with the lines of the plan that took part."""
    trace = trace_of(of, verdict)
    if trace is None:
        return f"{verdict.required.name}: the interpreter does not see it"
    names = [name for name in shown(verdict) if name in trace.tracks]
    last = max(1, trace.end_ms)
    begin = max(0, last - 120_000)
    lines = sorted({mark.line for mark in (*verdict.required.marks, *origins(of, verdict, trace)) if mark.line})
    return "\n".join(
        [
            f"{verdict.required.name}: {verdict.required.sentence}",
            strips_text(trace, names, (begin, last), moment=Moment(trace.end_ms, "here it is broken")),
            f"plan lines: {', '.join(str(line) for line in lines)}",
        ]
    )


def store(proof: Proof, folder: Path) -> Path:
    """Writes the verdicts with certificates and runs; never half of it."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / FILE
    part = folder / f"{FILE}.part"
    part.write_text(json.dumps(proof.as_json(), indent=1), encoding="utf-8")
    part.replace(path)
    return path


class _Bar:
    """Progress on stderr; silent when it is no terminal."""

    def __init__(self) -> None:
        self._bar = Progress(
            TextColumn("{task.completed}/{task.total} {task.description}"),
            BarColumn(),
            console=Console(stderr=True),
            transient=True,
            disable=not sys.stderr.isatty(),
        )

    def __enter__(self) -> _Bar:
        self._bar.start()
        self._task = self._bar.add_task("getting ready", total=None)
        return self

    def __exit__(self, *_: object) -> None:
        self._bar.stop()

    def tell(self, done: int, of: int, what: str) -> None:
        """How far it is."""
        self._bar.update(self._task, completed=done, total=of, description=what[:60])
