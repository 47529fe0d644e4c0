"""What a served controller retains outlives its process where a file is given; a wrong file is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadfall.app.given.kept import read_kept, write_kept
from steadfall.app.serve import Where, serve
from steadfall.bench.soft.controller import Soft
from steadfall.logic.build.whole import build
from steadfall.source import OutsideError
from tests.bench.made import plan_of

ANYWHERE = Where(opcua=0, modbus=0)
COUNTED = {"mist_openings": 41.0, "cooling_hours": 7.0}


def test_counters_go_on_from_what_was_kept() -> None:
    first, second = (Soft(build(plan_of("counters")), warm=False) for _ in range(2))
    shown = {"full_call": False, "air_pressure_ok": True}
    first.bring(COUNTED)
    for at in range(3_000):  # a finish after power, then a dose
        first.scan(20 if at else 0, {**shown, "full_call": at > 2_000})
    kept = first.kept()
    assert kept["mist_openings"] > COUNTED["mist_openings"]
    second.bring(kept)
    assert second.kept() == kept
    assert second.scan(0, shown)["mist_openings"] == kept["mist_openings"]


def test_a_controller_that_serves_writes_its_file_and_begins_with_it(tmp_path: Path) -> None:
    plan, file, set_to = plan_of("settings"), tmp_path / "kept.json", {"blow_out_time": 30_000}
    assert read_kept(file, build(plan)) == {}
    write_kept(file, set_to)
    serve(plan, None, ANYWHERE, file).stop()
    kept = json.loads(file.read_text(encoding="utf-8"))["kept"]
    assert kept.items() >= set_to.items()
    assert kept.keys() > set_to.keys()  # all that it retains, not what was there alone


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("not json", "cannot be read"),
        ('{"kept": {"full_call": true}}', "does not retain 'full_call'"),
        ('{"kept": {"mist_openings": "many"}}', "'mist_openings' cannot be 'many'"),
    ],
)
def test_a_file_that_does_not_fit_is_refused(text: str, why: str, tmp_path: Path) -> None:
    file = tmp_path / "kept.json"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(OutsideError, match=why):
        serve(plan_of("counters"), None, ANYWHERE, file)
