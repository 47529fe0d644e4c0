"""`steadfall prove`: every requirement of a plan, under every input, for ever."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime
from pathlib import Path

import click
from attrs import evolve

from steadfall.cli.guard import BAD, GOOD, json_text
from steadfall.cli.progress import Bar
from steadfall.cli.terminal import columns
from steadfall.cli.text import brought, takes_text
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import Proof
from steadfall.prove.explain.violations import violations
from steadfall.prove.explain.witness import witnesses
from steadfall.prove.requirements.faults import read_faults
from steadfall.prove.requirements.whole import watched
from steadfall.prove.whole.check_again import FILE, read_stored, recheck_stored
from steadfall.prove.whole.plan import prove_whole
from steadfall.prove.whole.recheck_faults import recheck_under
from steadfall.prove.whole.run import prove
from steadfall.report.page.proof import write_proof
from steadfall.report.text.proof import told


@click.command("prove")
@click.argument("plan", metavar="PLAN")
@click.option(
    "--only",
    metavar="NAME",
    multiple=True,
    help="Only these: by name, circuit or valve. One that is named in full and proved is drawn at work.",
)
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
@click.option(
    "--faults", metavar="FAULT", multiple=True, help="'power cut', 'NAME stuck off', ...; see docs/proof.md."
)
@click.option("--recheck", is_flag=True, help="Check the proofs stored in DIR again, with cvc5 alone.")
@takes_text
@click.option("--json", "as_json", is_flag=True, help="Print the verdicts as JSON (names: docs/json.md).")
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
    network = brought(found, code, names) if code else None
    of = watched(found, network, wrong)
    if stored:
        proof = evolve(recheck_stored(of, stored), under=recheck_under(found, network, stored))
    else:
        with Bar() as bar:
            how = (found, only, Ask(seconds=limit), bar)
            proof = (
                prove(*how, faults=wrong, network=network) if faults else prove_whole(*how, network=network)
            )
    wrote = (
        [store(proof, out)] if out is not None and not recheck else []
    )  # before anything is drawn: that may take a while
    seen = violations(of, network, proof) if out is not None or not as_json else []
    named = [row for row in proof.verdicts if row.required.name in only]
    drawn = witnesses(of, named if out is None else proof.verdicts)
    if as_json:
        click.echo(proof_json(proof), nl=False)
    else:
        click.echo(told(found, proof, seen, [drawn[name] for name in only if name in drawn], columns()))
    if out is not None:
        checked = datetime.now().astimezone().strftime("%Y-%m-%d %H:%M") if recheck else ""
        wrote.append(write_proof(found, proof, seen, out, witnesses=drawn, checked=checked))
        click.echo(f"wrote {' and '.join(str(path) for path in wrote)}", err=True)
    return GOOD if proof.good else BAD


def proof_json(proof: Proof) -> str:
    """The verdicts as JSON text."""
    return json_text(proof.as_json())


def _folder(out: Path | None) -> Path:
    if out is None:
        raise click.UsageError("--recheck needs --out DIR, where the proofs were stored")
    return out


def store(proof: Proof, folder: Path) -> Path:
    """Writes the verdicts with certificates and runs; never half of it."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / FILE
    part = folder / f"{FILE}.part"
    part.write_text(json.dumps(proof.as_json(), indent=1), encoding="utf-8")
    part.replace(path)
    return path
