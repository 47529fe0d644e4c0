"""Rewrites every file that comes from the code: tables, documents and the expected output of tests.

Rule of this file: each writer is a function without arguments; `make docs` runs them all. Look at the
difference before you keep it.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from steadfall.plan.keys.reference import reference
from steadfall.plant.tables.make import write_tables
from tests.listing import advice_of, listing_of
from tests.physics.document import document
from tests.physics.identities import IDENTITIES
from tests.physics.suite import GROUPS
from tests.report.sketch.documents import SKETCHES, made
from tests.web.catalogue import CATALOGUE, catalogue
from tests.web.pictures import write_pictures, write_roll
from tests.why.document import DOCUMENT, with_example
from tests.why.press import EXPECTED, told

ROOT = Path(__file__).parents[1]
BAD = ROOT / "tests" / "plans" / "bad"
ADVISED = ROOT / "tests" / "plans" / "advice"


def plant_tables() -> None:
    """src/steadfall/plant/tables/*.csv."""
    write_tables()


def key_reference() -> None:
    """docs/keys.md."""
    (ROOT / "docs" / "keys.md").write_text(reference(), encoding="utf-8")


def bad_listings() -> None:
    """tests/plans/bad/*.expected."""
    for plan in sorted(BAD.glob("*.yaml")):
        plan.with_suffix(".expected").write_text(listing_of(plan), encoding="utf-8")


def advice_listings() -> None:
    """tests/plans/advice/*.expected."""
    for plan in sorted(ADVISED.glob("*.yaml")):
        plan.with_suffix(".expected").write_text(advice_of(plan), encoding="utf-8")


def validation() -> None:
    """docs/validation.md."""
    (ROOT / "docs" / "validation.md").write_text(document(GROUPS, IDENTITIES), encoding="utf-8")


def sketches() -> None:
    """docs/sketch.svg and docs/stages.svg."""
    for name in SKETCHES:
        (ROOT / "docs" / name).write_text(made(name), encoding="utf-8")


def why_answers() -> None:
    """tests/why/press.expected and the example of docs/why.md."""
    EXPECTED.write_text(told(), encoding="utf-8")
    DOCUMENT.write_text(with_example(DOCUMENT.read_text(encoding="utf-8")), encoding="utf-8")


def page_words() -> None:
    """src/steadfall/words/steadfall.pot."""
    CATALOGUE.write_text(catalogue(), encoding="utf-8")


def page_pictures() -> None:
    """docs/page-*.png."""
    write_pictures()


def roll_pictures() -> None:
    """docs/roll-report.png and docs/roll-code.png."""
    write_roll()


WRITERS: tuple[Callable[[], None], ...] = (
    plant_tables,
    key_reference,
    bad_listings,
    advice_listings,
    validation,
    sketches,
    why_answers,
    page_words,
    page_pictures,
    roll_pictures,
)


def main() -> None:
    """Run the writers that are named, or every one."""
    known = {writer.__name__: writer for writer in WRITERS}
    told = "\n".join(f"  {name}: {writer.__doc__}" for name, writer in known.items())
    asked = argparse.ArgumentParser(
        prog="python -m tests.regenerate",
        epilog=f"the writers, and what they write:\n{told}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    asked.add_argument("writers", nargs="*", metavar="WRITER", help="only these; else every one")
    for name in asked.parse_args().writers or known:
        if name not in known:
            asked.error(f"{name} is no writer")
        known[name]()
        sys.stderr.write(f"{name}\n")


if __name__ == "__main__":
    main()
