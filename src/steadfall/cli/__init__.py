"""The commands. Results go to stdout, talk and progress to stderr.

Exit codes: 0 good; 1 the plan has problems, a limit is broken or not resolved, a goal is missed or the books
do not close; 2 wrong usage, or a name that is not in the plan; 3 the world outside failed, such as a plan
file that is not there; 130 stopped by Ctrl-C.
"""

from __future__ import annotations

import difflib
import sys
from collections.abc import Sequence

import click

from steadfall import __version__
from steadfall.cli.common.guard import guarded
from steadfall.extras import opened
from steadfall.interrupt import heard, leave, listening

# verb -> (module, one line of help); a module is loaded only when its verb is used, so that `check` starts
# fast.
COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("steadfall.cli.new", "Write a commented starter plan."),
    "open": ("steadfall.cli.open", "Open a plan on a page in the browser."),
    "check": ("steadfall.cli.check", "Read a plan and list every problem with its place."),
    "sketch": ("steadfall.cli.sketch", "Draw the piping of a plan, or its stages as a table of strips."),
    "predict": ("steadfall.cli.predict", "Predict the cool-down of a plan."),
    "size": ("steadfall.cli.size", "Size supplies, lines, valves, outlets, reliefs and drains."),
    "dose": ("steadfall.cli.dose", "Find the doses that are soonest, or spare water or valves."),
    "upset": ("steadfall.cli.upset", "Try every single failure, and say what notices it."),
    "prove": ("steadfall.cli.prove", "Prove what must hold, under every input, for ever."),
    "why": ("steadfall.cli.why", "Say why a signal has its value at a moment."),
    "emit": ("steadfall.cli.emit", "Write the program for the controller, and its lists."),
    "compare": ("steadfall.cli.compare", "Compare what two plans do: equal for ever, or how they differ."),
    "bench": ("steadfall.cli.bench", "Try a controller against the plan's hot plant."),
    "serve": ("steadfall.cli.serve", "Run a plan's controller in software, for others to talk to."),
    "schema": ("steadfall.cli.schema", "Print the JSON Schema of a plan, for editors."),
}


class Verbs(click.Group):
    """The table of commands, each loaded when it is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  (the signature is click's)
        """The verbs in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The command of a verb, or None."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = opened(COMMANDS[cmd_name][0]).command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The verb that was typed; one that does not exist is a sentence with the nearest that do."""
        if args and not args[0].startswith("-") and args[0] not in COMMANDS:
            near = difflib.get_close_matches(args[0], COMMANDS, 1, 0.5)
            there = f"did you mean '{near[0]}'?" if near else f"the verbs are {', '.join(COMMANDS)}"
            raise click.UsageError(f"there is no verb '{args[0]}'; {there}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """List the verbs from the table, without loading any of them."""
        with formatter.section("Verbs"):
            formatter.write_dl([(verb, line) for verb, (_, line) in COMMANDS.items()])


@click.group(cls=Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, message="steadfall %(version)s")
def steadfall() -> None:
    """Plan, predict and prove the staged water cooling of hot process equipment.

    Steadfall is an engineering aid, not a safety function: see the cautions in the README and in every
    report.
    """


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line and give its exit code."""
    return guarded(steadfall, arguments)


def run() -> None:
    """The console script, which hears Ctrl-C at any moment."""
    with listening():
        code = main()
    if heard():
        sys.stdout.flush()
        leave(code)
    raise SystemExit(code)
