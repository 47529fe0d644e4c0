import pytest

from steadfall.plan.advise.whole import advice
from steadfall.plan.model.materials import BUILT_IN
from steadfall.plan.read.whole import read_text
from steadfall.plan.starter import PATTERNS, starter


@pytest.mark.parametrize("pattern", PATTERNS)
def test_checks_clean_and_needs_no_advice(pattern: str) -> None:
    """But that climbs of press and oven trust a sensor that may be broken, and that a person ends the call of
    the press.
    """
    told = {note.slug for note in advice(read_text(starter(pattern)))}
    assert told <= {"climb-on-lost-sensor", "nothing-ends"}


@pytest.mark.parametrize("pattern", PATTERNS)
def test_says_what_a_technician_must_know(pattern: str) -> None:
    text = starter(pattern)
    for words in (
        "Invented data",
        "not a safety function",
        "steam and scald",
        "stored pressure",
        "water hammer",
    ):
        assert words in text
    assert max(map(len, text.splitlines())) <= 132


def test_unknown_pattern() -> None:
    with pytest.raises(ValueError, match="press, oven, barrel, roll"):
        starter("../press")


def test_built_in_materials_are_plausible() -> None:
    """Solids hold 1 to 4.5 MJ/m3/K (Incropera and DeWitt, text to table A.1, from memory)."""
    for item in BUILT_IN.values():
        assert 1e6 < item.density * item.heat_capacity < 4.5e6
        assert 10e-6 < item.expansion < 25e-6
