"""`steadfall serve`: the controller of a plan in software, for others to talk to."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from steadfall.app.plan import read
from steadfall.app.serve import LOOPBACK, MODBUS_PORT, OPCUA_PORT, Where
from steadfall.cli.common.controller import brought, takes_text
from steadfall.cli.common.guard import GOOD, Verb, print_json
from steadfall.cli.common.options import with_json
from steadfall.cli.common.times import Time
from steadfall.interrupt import ending

PORT = click.IntRange(0, 65_535)


@click.command("serve", cls=Verb)
@click.argument("plan", metavar="PLAN")
@takes_text
@click.option(
    "--host",
    metavar="ADDRESS",
    default=LOOPBACK,
    help="Serve at this address of the machine; else this machine alone can reach it.",
)
@click.option(
    "--opcua", metavar="PORT", type=PORT, default=OPCUA_PORT, help="Of OPC UA (4840); 0: any free one."
)
@click.option(
    "--modbus", metavar="PORT", type=PORT, default=MODBUS_PORT, help="Of Modbus TCP (1502); 0: any."
)
@click.option(
    "--links",
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write link files for it there: opcua.yaml, modbus.yaml.",
)
@click.option(
    "--keep",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Keep there what it retains, and begin with that; else it begins as new.",
)
@click.option(
    "--for", "lasting", metavar="TIME", type=Time(), help="End by itself after so long, such as `10 min`."
)
@with_json("Print where it serves as JSON (names: docs/json.md).")
def command(
    plan: str,
    code: Path | None,
    names: Path | None,
    host: str,
    opcua: int,
    modbus: int,
    links: Path | None,
    keep: Path | None,
    lasting: float | None,
    as_json: bool,
) -> int:
    """Run the logic of PLAN, or a controller's text, at its scan time, as an OPC UA and Modbus TCP server.

    To rehearse a bench, to train, to try operator screens. Only this machine reaches it unless --host says
    otherwise; nobody is asked who he is. Ctrl-C ends it.
    """
    found = read(plan)
    serving = found.serve(brought(found, code, names), Where(host, opcua, modbus), keep)
    try:
        for caution in serving.cautions:
            click.echo(f"CAUTION: {caution}", err=True)
        if links is not None:
            for name in ("opcua", "modbus"):
                path = serving.write_link(links / f"{name}.yaml", modbus=name == "modbus")
                click.echo(f"wrote {path}", err=True)
        if as_json:
            print_json(serving.as_json())
        else:
            click.echo(f"serving {serving.opcua} and {serving.modbus}; Ctrl-C ends it")
        sys.stdout.flush()
        serving.wait(lasting)
    except KeyboardInterrupt:
        ending()
    served = serving.stop()
    click.echo(
        f"{served.scans} scans, {served.late} late, at most {served.longest_ms:.0f} ms apart", err=True
    )
    return GOOD
