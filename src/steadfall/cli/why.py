"""`steadfall why`: why a signal has its value at a moment, back to the inputs."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from steadfall.cli.guard import GOOD, print_json
from steadfall.cli.progress import Bar
from steadfall.cli.traces import read_trace, stored_run, stored_runs
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.predict.history import recorded_inputs
from steadfall.prove.explain.reasons import since_power_up
from steadfall.source import OutsideError
from steadfall.units import QuantityError, milliseconds
from steadfall.why.explain import explain, unknown
from steadfall.why.history import History
from steadfall.why.recorded import recorded
from steadfall.why.wording import wording_of


def moment(_ctx: click.Context, _param: click.Parameter, value: str | None) -> int | None:
    """A moment such as `12.34s` or `6 min`, in ms."""
    if value is None:
        return None
    text = value.strip()
    number = text.rstrip("abcdefghijklmnopqrstuvwxyz").rstrip()
    try:
        found = milliseconds(f"{number} {text[len(number) :].strip()}".strip())
    except QuantityError as error:
        raise click.BadParameter(f"'{text}' is not a moment such as 12.34s or 6min: {error}") from error
    if found < 0:
        raise click.BadParameter("a run begins at 0 s")
    return found


@click.command("why")
@click.argument("plan", metavar="PLAN")
@click.option("--signal", required=True, metavar="NAME", help="A valve, a stage, any signal: upper.mist.")
@click.option(
    "--at",
    "at_ms",
    metavar="TIME",
    callback=moment,
    help="The moment: 12.34s, 6min; of a proof, else where it breaks.",
)
@click.option("--scenario", metavar="NAME", help="A scenario of the plan; else the strongest call.")
@click.option(
    "--trace",
    "file",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="A trace instead: JSON, the events.csv of a prediction, or the proof.json of a proof.",
)
@click.option("--only", metavar="NAME", help="Of a proof: the broken requirement whose run is meant.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def command(
    plan: str,
    signal: str,
    at_ms: int | None,
    scenario: str | None,
    file: Path | None,
    only: str | None,
    as_json: bool,
) -> int:
    """Say why a signal of PLAN has its value at a moment, and what would make it otherwise.

    Without --trace the plan is predicted up to the moment, and the logic replayed from what the controller
    saw.
    """
    if file is not None and scenario is not None:
        raise click.UsageError("--scenario and --trace exclude each other")
    proof = stored_runs(file) if file is not None else None
    if only is not None and proof is None:
        raise click.UsageError("--only goes with --trace DIR/proof.json, the stored proof of this plan")
    if at_ms is None and proof is None:
        raise click.UsageError("--at TIME says at which moment, such as --at 12.34s")
    found = read_file(plan)
    network, words = build(found), wording_of(found)
    if signal not in network.types:
        raise click.UsageError(unknown(network, signal))
    if file is not None and proof is not None:
        history, at = _of_proof(found, network, (file, proof), only, at_ms)
    else:
        at = at_ms or 0
        history = _traced(found, network, file, at) if file else _predicted(found, network, scenario, at)
    answer = explain(network, history, signal, history.scan_at(at), words)
    if as_json:
        print_json(
            {"steadfall": 1, "plan": {"title": found.title, "digest": found.digest}, **answer.as_json()}
        )
    else:
        click.echo("\n".join(answer.sentences()))
    return GOOD


def _of_proof(
    plan: Plan, network: Network, stored: tuple[Path, Mapping[str, Any]], only: str | None, at_ms: int | None
) -> tuple[History, int]:
    """The run of a stored violation, and the moment: the one that was asked for, or that of the violation."""
    file, proof = stored
    if proof.get("digest") != plan.digest:
        raise OutsideError(f"{file} belongs to another plan, or to another revision of this one")
    way = stored_run(file, proof, only)
    _within(at_ms or 0, way.end_ms, str(file))
    since = since_power_up(way)
    history = History(network, since)
    at = way.end_ms if at_ms is None else at_ms
    if at < since.begin_ms:
        raise click.UsageError(
            f"--at: power comes back at {since.begin_ms / 1000:.3f} s; what was before is not told"
        )
    return history, at


def _predicted(plan: Plan, network: Network, scenario: str | None, at_ms: int) -> History:
    with Bar() as bar:
        run = recorded_inputs(plan, scenario, at_ms, progress=bar)
    history = History(network, run)
    _within(at_ms, int(history.times_ms[-1]) + plan.scan.longest_ms, "the run")
    return history


def _traced(plan: Plan, network: Network, file: Path, at_ms: int) -> History:
    read = read_trace(file, network)
    if read.digest and read.digest != plan.digest:
        raise OutsideError(f"{file} belongs to another plan, or to another revision of this one")
    _within(at_ms, read.trace.end_ms, str(file))
    units = {name: item.unit for name, item in plan.inputs.items()}
    found = recorded(network, read.trace, read.scans_ms, plan.scan.nominal_ms, units)
    if found.missing:
        click.echo(f"not in {file}, taken as off or 0: {', '.join(found.missing)}", err=True)
    if found.mended:
        click.echo(
            f"measured values are samples; in {found.mended} scans the neighbouring one was taken", err=True
        )
    if found.parted_ms is not None and found.parted_ms <= at_ms:
        raise OutsideError(
            f"replayed, {file} parts from its record at {found.parted_ms / 1000:.3f} s ({found.parted_at}): "
            "what was measured is in it as samples only, or it is not of this plan; nothing can be "
            "explained after that"
        )
    return found.history


def _within(at_ms: int, end_ms: int, what: str) -> None:
    if at_ms > end_ms:
        raise click.UsageError(f"--at: {what} ends at {end_ms / 1000:.2f} s")
