"""What the run did to the plant, as rows in words: the same in the summary and in the report."""

from __future__ import annotations

from attrs import frozen

from steadfall.predict.outcome.result import Load, Prediction, Strain
from steadfall.quantities import FLOW, MASS, PRESSURE, STRESS, USED, Units, clock
from steadfall.report.words.grids import finer_words
from steadfall.report.words.items import VERDICTS
from steadfall.report.words.names import spoken


@frozen
class StrainRow:
    """About what, what, the worst value and when, the finer grid's, what is allowed, the verdict, how."""

    about: str
    what: str
    worst: str
    when: str
    finer: str  # nothing where it hardly differs
    allowed: str
    verdict: str
    kept: bool
    how: str


THROUGH_HEAD = ("Part", "What it goes through", "Worst", "At", "Rated", "")


def through(prediction: Prediction) -> tuple[tuple[str, ...], ...]:
    """What the plant goes through, as a head and a row for each; nothing where nothing strains it."""
    rows = strain_rows(prediction)
    told = ((one.about, one.what, one.worst, one.when, one.allowed, one.verdict) for one in rows)
    return (THROUGH_HEAD, *told) if rows else ()


def strain_rows(prediction: Prediction) -> tuple[StrainRow, ...]:
    """Every strain of the run."""
    return tuple(_row(strain, prediction.units) for strain in prediction.strains)


def _row(strain: Strain, units: Units) -> StrainRow:
    reading = units.of(STRESS if strain.what in (Load.STRESS, Load.UNEVEN) else PRESSURE)

    def text(value: float | None) -> str:
        return "" if value is None else reading.text(value)

    return StrainRow(
        about=spoken(strain.about),
        what=strain.what,
        worst=text(strain.value),
        when=clock(strain.time_ms),
        finer=finer_words(strain.value, strain.finer, strain.verdict, reading.of, text),
        allowed=reading.text(strain.bound) if strain.bound is not None else "not given",
        verdict=VERDICTS[strain.verdict] if strain.bound is not None else "",
        kept=strain.kept,
        how=strain.how,
    )


TIMES = {0: "never", 1: "once", 2: "twice"}


def steam_head(prediction: Prediction) -> tuple[str, ...]:
    """The head of the rows of steam."""
    mass, flow = (prediction.units.of(one).symbol for one in (USED, FLOW))
    amounts = f"at outlet {mass}", f"behind it {mass}", f"in all {mass}", f"peak {flow}"
    return "Steam", *amounts, "when", "stops water", f"left {mass}", "flashes m3"


def steam_rows(prediction: Prediction) -> tuple[tuple[str, ...], ...]:
    """Circuit by circuit: steam at the outlet, what flashes behind it, both and their highest flow, how often
    steam stopped the water, what is left to flash.
    """
    mass, flow, left = (prediction.units.of(one) for one in (USED, FLOW, MASS))
    return tuple(
        (
            spoken(use.circuit),
            *(mass.number(kg) for kg in (use.steam_out, use.flashed_out, use.steam_behind)),
            flow.number(use.peak_steam),
            clock(use.peak_steam_ms),
            TIMES.get(use.geysers, f"{use.geysers} times"),
            left.number(use.liquid_left),
            f"{use.flash_volume:.2g}" if use.flash_volume else "-",
        )
        for use in prediction.circuits
    )
