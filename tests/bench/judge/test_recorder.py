"""What a program carries for a bench changes no output, and makes every scan known."""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import evolve

from steadfall.app.bench import How, rehearse
from steadfall.app.compare import compare
from steadfall.app.emit import emit, extras_of
from steadfall.app.given.controller import controller
from steadfall.bench.cases.script import Script
from steadfall.bench.judge.exact import exact
from steadfall.bench.judge.finding import Said, terms_of
from steadfall.logic.build.recorder import BEAT, ECHO, LOST, Extra, slots, with_extras
from steadfall.logic.build.whole import build
from steadfall.scan.interpreter import Scanner
from steadfall.source import AskError
from steadfall.st.write.whole import structured_text
from tests.bench.made import plan_of

BOTH = frozenset(Extra)


def written(folder: Path, right: str = "", wrong: str = "") -> Path:
    file = folder / "controller.st"
    text = structured_text(plan_of("small"), BOTH).text
    file.write_text(text.replace(right, wrong) if right else text, encoding="utf-8")
    return file


@pytest.mark.parametrize("name", ["small", "settings", "hand"])
def test_the_text_that_carries_them_has_the_same_outputs_for_ever(name: str, tmp_path: Path) -> None:
    plan, file = plan_of(name), tmp_path / "controller.st"
    file.write_bytes(emit(plan, extras=BOTH).files["controller.st"])
    code = controller(plan, file)
    assert {BEAT.name, LOST.name, "record.1.scan", "record.8.upper.mist"} <= code.network.types.keys()
    assert compare(plan, code).good


def test_slots_hold_the_last_scans() -> None:
    plan = plan_of("small")
    network = with_extras(plan, build(plan), BOTH)
    made, scanner = slots(plan, build(plan)), Scanner(network)
    for at, call in enumerate((False, True, False, True, True)):
        values = scanner.scan(20 + at, {"full_call": call})
    assert [values[name] for name in made.numbers] == [5.0, 4.0, 3.0, 2.0, 1.0, 0.0, 0.0, 0.0]
    assert [values[name] for name in made.times[:4]] == [24, 23, 22, 21]
    assert [values[slot["full_call"]] for slot in made.signals[:5]] == [True, True, False, True, False]
    assert values[made.signals[0]["upper.stage"]] == values["upper.stage"]


def test_a_beat_is_echoed_and_its_end_is_told() -> None:
    plan = plan_of("small")
    scanner = Scanner(with_extras(plan, build(plan), frozenset({Extra.HEARTBEAT})))
    for at in range(100):
        values = scanner.scan(20, {BEAT.name: at // 3 % 2 == 0})
        assert values[ECHO.name] is (at // 3 % 2 == 0)
        assert values[LOST.name] is False
    gone = [scanner.scan(20, {})[LOST.name] for _ in range(30)]
    assert gone.index(True) in (23, 24, 25)
    assert all(gone[25:])


def test_with_the_recorder_every_scan_is_held_against_the_plan(tmp_path: Path) -> None:
    plan = plan_of("small")
    right = rehearse(plan, How(lasting_s=2), controller(plan, written(tmp_path)))
    assert right.judged.exact is not None
    assert right.judged.exact.conforms.said is Said.PASS
    assert set(right.judged.exact.times) <= set(range(20, 41))
    assert right.judged.exact.pace.said is Said.PASS
    wrong = rehearse(plan, How(lasting_s=2), controller(plan, written(tmp_path, "T#800ms", "T#810ms")))
    assert wrong.judged.conforms.said is Said.PASS  # too small to be seen from outside
    assert wrong.judged.exact is not None
    assert wrong.judged.exact.conforms.said is Said.FAIL
    assert "'upper.mist' is on and must be off" in wrong.judged.exact.conforms.why
    assert not wrong.good


def test_scans_that_were_not_seen_and_slow_ones_are_told(tmp_path: Path) -> None:
    plan = plan_of("small")
    script = Script(plan)
    script.wait(600)
    script.power = script.now
    script.wait(700)
    code = controller(plan, written(tmp_path))
    made = rehearse(plan, How(case=script.case("power", "", 1)), code)
    assert made.judged.exact is not None
    assert made.judged.exact.conforms.said is Said.PASS
    rows, terms = made.recording.rows, evolve(terms_of(made.recording.head), longest_scan=30.0)
    unseen = {name: value for row in rows[5:16] for part in row.reads for name, value in part.values.items()}
    late = evolve(rows[15], reads=(evolve(rows[15].reads[0], values=unseen),))
    found = exact(plan, build(plan), (*rows[:5], late, *rows[16:]), terms)
    assert found is not None
    assert found.conforms.said is Said.NOT_JUDGED
    assert "were not seen" in found.conforms.why
    assert found.pace.said is Said.FAIL


@pytest.mark.parametrize("slip", [("", ""), ("T#800ms", "T#850ms")])
def test_over_a_power_cut_it_goes_on_without_what_hangs_on_counters(
    slip: tuple[str, str], tmp_path: Path
) -> None:
    plan, file = plan_of("counters"), tmp_path / "controller.st"
    file.write_text(structured_text(plan, BOTH).text.replace(*slip), encoding="utf-8")
    script = Script(plan)
    script.wait(300)
    script.power = script.now  # before anything is opened
    script.wait(300)
    script.call(plan.calls[0])
    script.wait(4_000)
    made = rehearse(plan, How(case=script.case("power", "", 1)), controller(plan, file))
    assert made.judged.exact is not None
    found = made.judged.exact.conforms
    assert found.said is (Said.FAIL if slip[0] else Said.PASS), found
    if not slip[0]:
        assert "service_lamp" in found.why
        assert "mist" not in found.why


def test_only_what_there_is_can_be_carried() -> None:
    assert extras_of(["recorder"]) == frozenset({Extra.RECORDER})
    with pytest.raises(AskError, match="recorder and heartbeat besides, not 'siren'"):
        extras_of(["siren"])
