"""A controller's text brought to a plan: read, its names mapped, its signals held against the plan's.

Rule of this file: a map that is given must fit. Without one, the names are those that emitting the plan would
give.
"""

from __future__ import annotations

from pathlib import Path

from steadfall.logic.build.recorder import Extra
from steadfall.logic.build.stand_in import stand_in
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.plan.text.decode import decoded
from steadfall.plan.text.tree import Scalar, Table, read_tree
from steadfall.source import OutsideError, PlanError
from steadfall.st.read.whole import read_st
from steadfall.st.write.whole import structured_text

LARGEST = 4_000_000  # bytes


def bring(plan: Plan, code: Path, map_file: Path | None = None) -> Network:
    """The network of a controller's text, in the plan's names; raises PlanError, or OutsideError without the
    file.
    """
    text = _text(code)
    if map_file is None:
        names = {**structured_text(plan, frozenset(Extra)).names, **structured_text(plan).names}
        network = read_st(text, code.name, names, lenient=True)
    else:
        names = read_map(map_file)
        network = read_st(text, code.name, names)
        return stand_in(plan, network, code.name, frozenset(names.values()))
    return stand_in(plan, network, code.name)


def read_map(path: Path) -> dict[str, str]:
    """Lines `name in the text: signal of the plan`."""
    problems = Problems()
    tree = read_tree(_text(path), path.name, problems)
    found: dict[str, str] = {}
    signals: dict[str, str] = {}
    for entry in tree.entries if isinstance(tree, Table) else ():
        name, value = entry.key.text, entry.value
        if not isinstance(value, Scalar) or not value.text:
            problems.add(
                value.mark, "wrong-shape", name, "no signal", "the name of one", example="upper.mist"
            )
        elif value.text in signals:
            read = f"'{value.text}' is already '{signals[value.text]}'"
            problems.add(value.mark, "twice", name, read, "each signal once")
        else:
            found[name] = value.text
            signals[value.text] = name
    if not isinstance(tree, Table):
        problems.add(
            tree.mark, "wrong-shape", "", "no map", "lines of names", example="upper_mist: upper.mist"
        )
    if problems:
        raise PlanError(problems.found())
    return found


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST:
            raise OutsideError(f"{path} is larger than {LARGEST // 1_000_000} MB")
        return decoded(path.read_bytes(), path.name)
    except OSError as error:
        raise OutsideError(f"cannot read {path}: {error.strerror or error}") from error
