"""A controller that filters noisy inputs is judged: the right one passes, a wrong filter is found."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadfall.app.given.controller import controller
from steadfall.bench.cases.clearing import clearing
from steadfall.bench.cases.told import Told
from steadfall.bench.cases.whole import cases
from steadfall.bench.judge.finding import Said, Terms
from steadfall.bench.judge.requirements import required
from steadfall.bench.judge.whole import Judged, judge
from steadfall.bench.link.wires import signals
from steadfall.bench.session.journal import Row
from steadfall.bench.session.loop import Driven, Session
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import LockStep
from steadfall.logic.build.stand_in import with_stages
from steadfall.logic.build.whole import build
from steadfall.st.write.whole import structured_text
from tests.bench.made import plan_of

PLAN = plan_of("bad_sensors")
CASE = next(one for one in cases(PLAN).cases if one.name == "trip steam back-pressure")
LASTING = 12_000  # its first trip, and its reset
SCANS = PLAN.scan.nominal_ms, PLAN.scan.longest_ms
FROM_POWER = Terms(*SCANS, 0.0, 50, (0.0, float(SCANS[1])))
AT_REST = Terms(*SCANS, 0.0, 50)
PER_MS, LEVEL = "UPPER_PRESSURE_FILTER_PER_MS : REAL := ", "TRIP_STEAM_PRESSURE_PRESSURE : REAL := "
SLIPS = {
    "half the time of the filter": (f"{PER_MS}0.0005;", f"{PER_MS}0.001;"),
    "a fifth more": (f"{PER_MS}0.0005;", f"{PER_MS}0.0004;"),
    "another level": (f"{LEVEL}7.0;", f"{LEVEL}8.0;"),
    "no filter": ("IN := upper_pressure_value >", "IN := upper_pressure >"),
}


def held(folder: Path, slip: tuple[str, str], terms: Terms, seed: int = 1) -> tuple[Row, ...]:
    """A session with the emitted text in which something is another than in the plan."""
    text, file = structured_text(PLAN).text, folder / "controller.st"
    assert slip[0] in text
    file.write_text(text.replace(*slip), encoding="utf-8")
    network = with_stages(PLAN, controller(PLAN, file).network)
    soft = Soft(network, [wire.signal for wire in signals(PLAN, network) if not wire.is_input])
    link, rows = LockStep(soft, *SCANS, seed=seed), list[Row]()
    settle = 0 if terms.first_scan else 30_000
    driven = Driven(LASTING, drive=True, settle_ms=settle, presses=clearing(PLAN) if settle else ())
    return Session(Told(PLAN, CASE, seed), (link, link), driven, rows.append).run().rows


def judged(rows: tuple[Row, ...], terms: Terms) -> Judged:
    return judge(PLAN, build(PLAN), rows, terms, requirements=False)


@pytest.mark.parametrize("terms", [FROM_POWER, AT_REST], ids=["from power", "at rest"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_right_one_passes(terms: Terms, seed: int, tmp_path: Path) -> None:
    """Its inputs scatter, and a trip hangs on what the filter makes of one of them."""
    found = judged(held(tmp_path, ("", ""), terms, seed), terms)
    assert found.conforms.said is Said.PASS, found.conforms
    said = {one.about: one.said for one in found.covered}
    assert said["trip.steam_back_pressure"] is Said.PASS


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_found(slip: str, tmp_path: Path) -> None:
    found = judged(held(tmp_path, SLIPS[slip], FROM_POWER), FROM_POWER).conforms
    assert found.said is Said.FAIL
    assert found.at_ms is not None
    assert 2_000 < found.at_ms < 6_000  # as the trip comes, or should have


def test_what_nobody_reads_is_said_to_be_so(tmp_path: Path) -> None:
    said = {one.about: one for one in required(PLAN, held(tmp_path, ("", ""), FROM_POWER)[:100], FROM_POWER)}
    found = said["upper.pressure.value.as_filtered"]
    assert (found.said, found.line) == (Said.NOT_JUDGED, 39)
    unread = [name for name, one in said.items() if "Nobody reads what a filter makes" in one.why]
    assert unread == ["upper.pressure.value.as_filtered", "upper.water_flow.value.as_filtered"]
