"""The lists: nothing missing, nothing that a spreadsheet would run, the matrix true to the network, bytes
that stay.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Mapping
from pathlib import Path

import openpyxl
import pytest
from attrs import evolve

from steadfall.lists.alarms import alarms
from steadfall.lists.matrix import LEGEND, matrix
from steadfall.lists.operation import operation
from steadfall.lists.page import page
from steadfall.lists.papers import papers
from steadfall.lists.sheet import Sheet, csv_text, harmless
from steadfall.lists.spreadsheet import read_xlsx, xlsx
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.meaning.names import is_water, valves
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.plan.text.speak import speak
from steadfall.scan.interpreter import Scanner
from tests.examples import EXAMPLES
from tests.plan.paths import GOOD

PRESS = read_file(EXAMPLES["press"])
EVERY = {name: read_file(path) for name, path in EXAMPLES.items()}
ATTACKS = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "|x", "=cmd|' /C calc'!A0")


def table(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"))))


@pytest.mark.parametrize("name", EVERY)
def test_every_file_is_the_same_each_time(name: str) -> None:
    first, again = papers(EVERY[name]), papers(read_file(EXAMPLES[name]))
    assert first == again
    assert next(iter(first)) == "controller.st"


def test_a_workbook_tells_no_time() -> None:
    data = papers(PRESS)["io_list.xlsx"]
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        assert {entry.date_time[:3] for entry in book.infolist()} == {(1980, 1, 1)}
        assert b"2026" not in book.read("docProps/core.xml")


def test_settings_have_a_sheet_of_their_own() -> None:
    plan = read_file(Path(__file__).parents[1] / "plans" / "good" / "settings.yaml")
    rows = table(papers(plan)["settings.csv"])
    assert [row["setting"] for row in rows] == list(plan.settings)
    dose, level = rows[0], rows[3]
    assert [dose[key] for key in ("default", "from", "to")] == ["800 ms", "400 ms", "1.6 s"]
    assert (level["to"], level["taken over"], level["name in code"]) == ("140 degC", "at once", "cool_enough")
    assert "settings.csv" not in papers(PRESS)


def test_io_list_has_every_signal_once() -> None:
    files = papers(PRESS)
    rows = table(files["io_list.csv"])
    assert [row["signal"] for row in rows] == [*PRESS.inputs, *valves(PRESS), *PRESS.outputs]
    drain = next(row for row in rows if row["signal"] == "upper.drain")
    assert (drain["kind"], drain["rest state"]) == ("DO", "open, not energised")
    assert (drain["range"], drain["fail state"]) == ("off opens, on shuts", "open without signal or power")
    assert drain["name in code"] == "upper_drain_energised"
    mist = next(row for row in rows if row["signal"] == "upper.mist")
    assert (mist["rest state"], mist["range"]) == ("shut, not energised", "off shuts, on opens")
    pressure = next(row for row in rows if row["signal"] == "upper.pressure")
    assert (pressure["kind"], pressure["type"], pressure["range"]) == ("AI", "REAL", "0 .. 16 barg")
    sheet = openpyxl.load_workbook(io.BytesIO(files["io_list.xlsx"])).active
    assert sheet is not None
    assert [row[0] for row in sheet.iter_rows(min_row=2, values_only=True)] == [row["signal"] for row in rows]


@pytest.mark.parametrize("attack", ATTACKS)
def test_no_cell_is_a_formula(attack: str, tmp_path: Path) -> None:
    sheet = Sheet("x", ("a", "b"), ((attack, "plain"), ("-20 .. 4 degC", attack)))
    for row in csv.reader(io.StringIO(csv_text(sheet))):
        assert not any(cell.startswith(("=", "+", "-", "@", "\t", "|")) for cell in row)
    path = tmp_path / "x.xlsx"
    path.write_bytes(xlsx([sheet]))
    page_ = openpyxl.load_workbook(path).active
    assert page_ is not None
    for cells in page_.iter_rows():
        assert all(cell.data_type == "s" and not str(cell.value).startswith("=") for cell in cells)
    assert read_xlsx(path)[1][1] == "plain"
    assert harmless("plain") == "plain"


def test_a_page_shows_text_as_text() -> None:
    shown = page(Sheet("x", ("<b>",), (("<script>",),), ("&",)), "<title>", '"')
    assert "<script>" not in shown
    assert "&lt;script&gt;" in shown


def after(plan: Plan, *changes: tuple[int, Mapping[str, Value]]) -> Mapping[str, Value]:
    """The signals after the plan has run for these times with these inputs, a scan every 20 ms."""
    run = Scanner(build(plan))
    values: Mapping[str, Value] = {}
    for ms, inputs in changes:
        for _ in range(ms // 20):
            values = run.scan(20, inputs)
    return values


COOLING = {"full_call": True, "air_pressure_ok": True, "upper.platen_temperature": 160.0}
# Causes of the press, by name, as inputs that make them true.
CAUSES: Mapping[str, Mapping[str, Value]] = {
    "steam back-pressure in the upper platen": {"upper.pressure": 8.0},
    "steam back-pressure in the lower platen": {"lower.pressure": 8.0},
    "a flood limit switch disagrees": {"upper.flood_is_open": True},
    "sweep air": {"air_pressure_ok": False},
}


def cells(cause: str) -> dict[str, str]:
    sheet = matrix(PRESS)
    row = next(row for row in sheet.rows if row[1] == cause)
    return dict(zip(sheet.headings, row, strict=True))


def test_the_matrix_has_every_cause_and_explains_every_letter() -> None:
    for plan in EVERY.values():
        sheet = matrix(plan)
        names = [row[1] for row in sheet.rows]
        assert {trip.name for trip in plan.trips} <= set(names)
        assert {item.name for item in plan.permissives} <= set(names)
        used = {
            word for row in sheet.rows for cell in row[3:-1] for word in cell.split()[:2] if len(word) == 1
        }
        assert used <= set(LEGEND)


@pytest.mark.parametrize("cause", CAUSES)
def test_the_matrix_says_what_the_network_does(cause: str) -> None:
    let_go = (40, {**COOLING, "full_call": False})
    before = after(PRESS, let_go, (400, COOLING))
    assert before["upper.mist"] is True
    row, hot = cells(cause), {**COOLING, **CAUSES[cause]}
    values = after(PRESS, let_go, (400, COOLING), (4000, hot))
    for name in valves(PRESS):
        assert ("S" in row[name].split()) == is_water(PRESS, name)
        if "S" in row[name].split():
            assert values[name] is False
    last = len(PRESS.type_of("upper").stages)
    for circuit in PRESS.circuits:
        assert row[f"circuit {circuit}"].startswith("F")
        assert values[f"{circuit}.stage"] > last or values[f"{circuit}.stage"] == 0
    over = {**COOLING, **dict.fromkeys(CAUSES[cause], 0)}
    over = over if cause != "sweep air" else COOLING
    gone = after(PRESS, let_go, (400, COOLING), (4000, hot), (200, over))
    assert gone["tripped"] is ("L" in row["upper.mist"].split())
    back = [(40, {**over, "reset_button": True}), (400, over)]
    stands = after(PRESS, let_go, (400, COOLING), (4000, hot), *back)
    assert ("N" in row["circuit upper"].split()) is (stands["upper.target"] == 0)
    anew = after(PRESS, let_go, (400, COOLING), (4000, hot), *back, let_go, (40, COOLING))
    assert anew["upper.target"] > 0


def test_a_call_allows_what_the_matrix_says() -> None:
    row = cells("soaking")
    assert row["circuit upper"] == "A soaking"
    hot = {f"{circuit}.platen_temperature": 420.0 for circuit in PRESS.circuits}
    called = {"gentle_call": True, "air_pressure_ok": True, **hot}
    values = after(PRESS, (40, {**called, "gentle_call": False}), (40, called))
    assert values["upper.target"] == 1 + [s.name for s in PRESS.type_of("upper").stages].index("soaking")
    assert cells("power-up")["circuit upper"] == "P blow_out N"


def test_a_hold_and_a_step_stand_in_matrix_and_description() -> None:
    plan = read_file(next(path for path in GOOD if path.stem == "hand"))
    sheet = matrix(plan)
    rows = {row[1]: dict(zip(sheet.headings, row, strict=True)) for row in sheet.rows}
    assert rows["the sequence is on hold"]["circuit lower"] == "H"
    assert rows["the sequence is on hold"]["hold_lamp"] == "on"
    assert [rows["upper_step"][f"circuit {name}"] for name in ("upper", "lower")] == ["U", ""]
    text = operation(plan)
    assert "While `hold_switch`, no circuit climbs" in text
    assert (
        "A press of `step_button` takes upper and lower one stage up out of **dosing** and **soaking**"
        in text
    )


CALLING = {"full_call": True, "air_pressure_ok": True, "upper.outlet_temperature": 100.0}
SHOWN: Mapping[str, Mapping[str, Value]] = {
    "steam back-pressure": {"upper.pressure": 8.0},
    "sweep air": {"air_pressure_ok": False},
    "air pressure low": {"air_pressure_ok": False},
    "full": {},
}


@pytest.mark.parametrize("cause", SHOWN)
def test_the_matrix_says_what_each_output_shows(cause: str) -> None:
    plan = read_file(next(path for path in GOOD if path.stem == "outputs"))
    sheet = matrix(plan)
    row = dict(zip(sheet.headings, next(row for row in sheet.rows if row[1] == cause), strict=True))
    now = {**CALLING, **SHOWN[cause]}
    called = [(40, {**CALLING, "full_call": False}), (2000, CALLING)]
    known = after(plan, *called, (5000, now))
    seen = after(plan, *called, (5000, now), (100, {**now, "acknowledge_button": True}), (3000, now))
    cells = {name: row[name].split() for name in plan.outputs if row[name]}
    assert cells
    for name, (word, *until) in cells.items():
        flashing = plan.outputs[name].flash_ms > 0
        assert flashing or known[name] is (word == "on"), name
        assert flashing or seen[name] is ((word == "on") is not bool(until)), name
    shows = {name for name, one in cells.items() if "K" in one}
    assert shows == ({"horn"} if cause in ("steam back-pressure", "air pressure low") else set())


def test_alarms_have_what_the_standard_asks() -> None:
    for plan in EVERY.values():
        sheet = alarms(plan)
        watched = sum(v.feedback is not None for c in plan.circuits for v in plan.type_of(c).valves.values())
        watched += sum(v.feedback is not None for v in plan.main_valves.values())
        assert len(sheet.rows) == len(plan.trips) + len(plan.alarms) + len(plan.permissives) + watched
        assert all(all(cell for cell in row) for row in sheet.rows)
        assert {row[-2] for row in sheet.rows} <= {"high", "medium", "low"}


def test_the_description_names_everything() -> None:
    for plan in EVERY.values():
        text = operation(plan)
        for kind in plan.circuit_types.values():
            for stage in kind.stages:
                assert f"**{stage.name}**" in text
                assert stage.climb is None or speak(stage.climb) in text
            assert all(f"{step.name} (finish)" in text for step in kind.finish)
        assert all(speak(trip.when) in text for trip in plan.trips)
        assert all(f"`{name}`" in text for name in plan.inputs)


def test_a_title_cannot_write_markdown() -> None:
    assert "<script>" not in operation(evolve(PRESS, title="<script> # *x*"))


def test_a_switch_that_measures_says_where_it_changes() -> None:
    plan = read_file(Path(__file__).parents[1] / "plans" / "good" / "switches.yaml")
    rows = {row["signal"]: row for row in table(papers(plan)["io_list.csv"])}
    told = {name: (row["kind"], row["description"]) for name, row in rows.items()}
    assert told["hot"] == (
        "DI",
        "temperature switch, upper platen: on above 80 degC, off again below 77 degC",
    )
    assert told["upper.drained"][1].endswith("water held: on below 0.6 kg, off again above 0.7 kg")
    assert "on from `upper_platen` above 80 degC, until it is back at 77 degC" in operation(plan)


def test_hand_mode_stands_in_matrix_and_description() -> None:
    plan = read_file(next(path for path in GOOD if path.stem == "hand"))
    sheet = matrix(plan)
    row = next(dict(zip(sheet.headings, row, strict=True)) for row in sheet.rows if row[0] == "hand")
    assert (row["circuit upper"], row["circuit lower"], row["hand_lamp"]) == ("F N", "F N", "on")
    text = operation(plan)
    assert "While `hand_key`, valves are in hand" in text
    assert plan.hand is not None
    assert all(f"`{valve}` by `{given}`" in text for valve, given in plan.hand.valves.items())
