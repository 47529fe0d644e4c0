import pytest

from steadfall.plan.check.advice import ADVICE, advice
from steadfall.plan.read.whole import read_text
from steadfall.source import Problem
from tests.plan.paths import GOOD

SMALL = next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8")
DOSE = "sweep: open, mist: {open: 0.8 s, shut: 2.4 s}"
RAMP = (
    "ramps:\n  ramp: {of: upper.outlet_temperature, when: full_call, fall: 4 K/min, to: 80 degC, band: "
    "10 K}\ncalls:"
)
SHARED = "  - {demand: ramp, thresholds: {dosing: 2 %, full: 95 %}, hysteresis: 1 %}"

# slug -> what to change in the small plan to get that advice
CHANGES: dict[str, list[tuple[str, str]]] = {
    "air-blocks-water": [("pressure: 3 barg", "pressure: 4 barg")],
    "dose-without-air": [(DOSE, "mist: {open: 0.8 s, shut: 2.4 s}")],
    "clipped-dose": [("shut: 2.4 s}", "shut: 2.4 s, clock: free}")],
    "skipped-dose": [
        ("mist: {open: 0.8 s, shut: 2.4 s}", "mist: {share_of: ramp, cycle: 8 s}"),
        ("calls:", RAMP),
        ("  - {when: full_call, allows: full}", SHARED),
    ],
    "rated-below-supply": [("rated: 10 barg", "rated: 3.5 barg")],
    "water-stays": [("{name: blow_out, sweep: open,", "{name: waiting, sweep: shut,")],
    "cold-start": [("    rated:", "    cold_start: idle\n    rated:")],
    "no-permissive": [("permissives:\n  - {name: sweep air, needs: air_pressure_ok, for: all water}\n", "")],
    "no-pressure-trip": [("upper.pressure > 7 barg", "upper.pressure out of range")],
    "climb-by-time": [(" and outlet_temperature < 120 degC", "")],
    "unused": [("bodies:\n", "bodies:\n  lost: {mass: 3 kg, material: copper, start: 60 degC}\n")],
    "goal-reached": [("below 70 degC", "below 170 degC")],
}


def changed(pairs: list[tuple[str, str]]) -> tuple[Problem, ...]:
    text = SMALL
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return advice(read_text(text))


def test_the_small_plan_needs_none() -> None:
    assert advice(read_text(SMALL)) == ()


@pytest.mark.parametrize("slug", CHANGES)
def test_advice(slug: str) -> None:
    found = changed(CHANGES[slug])
    assert {note.slug for note in found} == {slug}
    assert all(note.mark.line > 0 for note in found)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("supplies:\n", "supplies:\n  spare: {fluid: air, pressure: 1 barg, temperature: 20 degC}\n"),
        ("calls:", RAMP),
    ],
)
def test_more_that_is_unused(old: str, new: str) -> None:
    assert [note.slug for note in changed([(old, new)])] == ["unused"]


def test_every_piece_of_advice_is_given_somewhere() -> None:
    woken = set()
    for pairs in CHANGES.values():
        text = SMALL
        for old, new in pairs:
            text = text.replace(old, new)
        plan = read_text(text)
        woken |= {one.__name__ for one in ADVICE if list(one(plan))}
    assert woken == {one.__name__ for one in ADVICE}
