"""Names mean nothing: a plan whose names are quantities and keywords does what its plain twin does.

Rule of this file: each verb's result is that of the plain twin, with the names exchanged, to the letter:
values, units, headings, sentences, verdicts. A name that would mean something else is refused in a sentence.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import cycle
from pathlib import Path

import pytest

from steadfall.plan.meaning.names import valves
from steadfall.plan.read.whole import read_text
from steadfall.report.figure import sheets
from steadfall.source import PlanError
from tests.house.alike import (
    Said,
    compared,
    differences,
    emitted,
    exchanged,
    predicted,
    proved,
    reasoned,
    sized,
)
from tests.house.twins import KEYWORDS, Named, accepts, plain, renamed, twin
from tests.house.verbs import run
from tests.plan.paths import EXAMPLES, GOOD

pytestmark = pytest.mark.usefixtures("proofs_here")

FILES = {path.stem: path for path in (*GOOD, *EXAMPLES)}
# turns: which words
TWINS: list[tuple[str, tuple[int, ...]]] = [
    ("buttons", (31,)),
    ("surroundings", (1,)),
    ("supply_side", (12,)),
    ("coupled_hosts", (60,)),
]
MOMENTS = ("5s", "63s")
KINDS = "body", "gas stream", "supply", "circuit type", "circuit", "valve", "stage", "finish step", "input"


@cache
def plain_text(stem: str) -> tuple[str, list[Named]]:
    return plain(FILES[stem].read_text(encoding="utf-8"))


@pytest.fixture
def said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], dict[str, Said]]:
    """What every verb says of a plan's text, the file's name being the same each time."""

    def of(text: str) -> dict[str, Said]:
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        folder.mkdir()
        monkeypatch.chdir(folder)
        monkeypatch.setenv("COLUMNS", "1000")  # no cell is wrapped, whatever its names are
        monkeypatch.setattr(sheets, "LABEL", 1000)  # and no name beside a strip is cut
        path = Path("plan.yaml")
        path.write_text(text, encoding="utf-8")
        plan = read_text(text)
        one = next(iter(plan.circuits))  # the others answer alike, and each answer takes a second
        signals = [*(f"{one}.{name}" for name in plan.type_of(one).valves), f"{one}.stage"]
        asked = tuple(zip(signals, cycle(MOMENTS), strict=False))
        return {
            "predict": predicted(path),
            "size": sized(path),
            "emit": emitted(path),
            "compare": compared(path),
            "why": reasoned(path, asked),
        }

    return of


@pytest.mark.slow
@pytest.mark.parametrize(("stem", "turns"), TWINS)
def test_a_twin_behaves_as_its_plain_twin(
    stem: str, turns: tuple[int, ...], said: Callable[[str], dict[str, Said]]
) -> None:
    text, names = plain_text(stem)
    one = said(text)
    for turn in turns:
        table = twin(text, names, turn)
        other = said(renamed(text, table))
        for verb in one:
            assert not differences(exchanged(one[verb], table), exchanged(other[verb], {})), (verb, table)


def test_what_a_twin_rests_on_does_not_hang_on_names(tmp_path: Path) -> None:
    """Of facts that have held as long as each other the same are told."""
    text, names = plain_text("settings")
    table = twin(text, names, 9)
    path, said = tmp_path / "plan.yaml", []
    for one in (text, renamed(text, table)):
        path.write_text(one, encoding="utf-8")
        said.append(run("why", path, "--signal", next(iter(valves(read_text(one)))), "--at", "5s").out)
    assert not differences(exchanged({"why": said[0]}, table), exchanged({"why": said[1]}, {})), table


@pytest.mark.slow
@pytest.mark.parametrize("turn", [0, 31])
def test_a_twin_is_proved_as_its_plain_twin(turn: int, tmp_path: Path) -> None:
    text, names = plain_text("small")
    table = twin(text, names, turn)
    valve = next(row.name for row in names if row.kind == "valve")
    paths = [tmp_path / "one.yaml", tmp_path / "two.yaml"]
    paths[0].write_text(text, encoding="utf-8")
    paths[1].write_text(renamed(text, table), encoding="utf-8")
    circuit = next(row.name for row in names if row.kind == "circuit")
    one = proved(paths[0], (f"{circuit}.{valve}",))
    other = proved(paths[1], (f"{table[circuit]}.{table[valve]}",))
    assert one["verdicts"].count(": proved") > 4
    assert not differences(exchanged(one, table), exchanged(other, {})), table


@pytest.mark.parametrize("kind", KINDS)
def test_a_name_is_accepted_or_refused_with_a_sentence(kind: str) -> None:
    text, names = plain_text("surroundings")
    name = next(row.name for row in names if row.kind == kind)
    refused = 0
    words = KEYWORDS[KINDS.index(kind) % 2 :: 2]
    for word in words:
        if not accepts(text, name, word):
            refused += 1
            with pytest.raises(PlanError) as caught:
                read_text(renamed(text, {name: word}))
            assert {"name", "same-name"} & {problem.slug for problem in caught.value.problems}, word
    assert 0 < refused < len(words) / 2
