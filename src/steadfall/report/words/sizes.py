"""Sizes as rows in words: the same in the terminal and on the page."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from steadfall.quantities import (
    AIR_USED,
    DIFFERENCE,
    DRAINED,
    FLOW,
    GRAMS,
    HEAT,
    KV,
    PRESSURE,
    SECONDS,
    TEMPERATURE,
    USED,
    Reading,
    Units,
    clock,
)
from steadfall.report.words.names import spoken
from steadfall.size.doses import ByHand
from steadfall.size.fluid import free_air
from steadfall.size.row import Row, Standing, Would
from steadfall.size.sizes import Sizes, batches

LIFE_HEAD = ("Valve", "openings a batch", "open for", "batches in its life")
SHARING_HEAD = ("Supply", "circuits open", "pressure left", "flow in all", "of what each takes alone")
BATCH = (
    *(("water", USED), ("evaporated", USED), ("air", USED), ("free air", AIR_USED)),
    ("heat drained", DRAINED),
)
BY_HAND: tuple[tuple[str, Reading | None], ...] = (
    *(("host", TEMPERATURE), ("water", FLOW), ("heat", HEAT), ("predicted", None), ("steam", FLOW)),
    ("may pass", None),
)
HAND_HINT = (
    "Heat: if nothing boils, to if all boils that can; predicted: in the first minute of the stage, by the "
    "batch. Steam, and how far the wall falls, are at most; the outlet may pass so much at the pressure to "
    "stay below. A dose as steam should have left before the next."
)
SIGNS = {Standing.OK: "ok", Standing.TIGHT: "tight", Standing.SHORT: "SHORT"}
MANY = 8  # counts of open circuits that are listed; of more the last


@frozen
class SizeRow:
    """About what, what is looked at, asked, given, how it stands, what would do, why, the plan's line."""

    about: str
    what: str
    asked: str
    given: str
    word: str
    would: str
    reason: str
    line: int
    standing: Standing


def size_rows(sizes: Sizes) -> tuple[SizeRow, ...]:
    """Every row."""
    return tuple(_row(row, sizes.units) for row in sizes.rows)


def _row(row: Row, units: Units) -> SizeRow:
    bound, reading = "at most" if row.at_most else "at least", units.of(row.reading)
    asked = reading.text(row.asked) if row.asked < float("inf") else "never enough"
    return SizeRow(
        about=spoken(row.about),
        what=row.check.value,
        asked=f"{bound} {asked}",
        given=reading.text(row.given),
        word=SIGNS[row.standing],
        would=would_do(row.would),
        reason=row.reason.text(units),
        line=row.mark.line,
        standing=row.standing,
    )


def would_do(would: Would | None) -> str:
    """The next standard size, as it is asked for in a shop."""
    if would is None:
        return ""
    if would.kv is not None:
        return f"Kv {KV.of(would.kv):.4g}"
    return "" if would.dn is None else f"DN {would.dn}"


def size_verdict(sizes: Sizes) -> str:
    """The whole in a sentence or two."""
    count, short, tight = len(sizes.rows), sizes.count(Standing.SHORT), sizes.count(Standing.TIGHT)
    if short:
        which = [f"{spoken(row.about)} ({row.check})" for row in sizes.rows if row.standing is Standing.SHORT]
        more = f" and {short - 3} more" if short > 3 else ""
        return (
            f"{short} of {count} sizes {'is' if short == 1 else 'are'} short: {', '.join(which[:3])}{more}."
        )
    also = f"; {tight} of {count} {'is' if tight == 1 else 'are'} tight" if tight else ""
    return f"Nothing is short{also}."


def _named_in(units: Units, columns: Sequence[tuple[str, Reading | None]]) -> tuple[str, ...]:
    """Heads of columns, with the unit where a column has one of its own."""
    return tuple(words if of is None else f"{words} {units.of(of).symbol}" for words, of in columns)


def batch_head(sizes: Sizes) -> tuple[str, ...]:
    """The head of what a batch uses."""
    return ("A batch", *_named_in(sizes.units, BATCH))


def heat_head(sizes: Sizes) -> tuple[str, ...]:
    """The head of the stages by hand."""
    return ("By hand", *_named_in(sizes.units, BY_HAND))


def dose_head(sizes: Sizes) -> tuple[str, ...]:
    """The head of the doses by hand."""
    mass, falls = (sizes.units.of(one).symbol for one in (GRAMS, DIFFERENCE))
    return "A dose", mass, "outlet clears it in", "of", f"wall falls {falls}", "comes back"


def batch_rows(sizes: Sizes) -> tuple[tuple[str, ...], ...]:
    """Circuit by circuit and in all: water, air, heat that went down the drain."""
    uses = sizes.batch.circuits
    rows = [
        (spoken(use.circuit), (use.water, use.evaporated, use.air, free_air(use.air), use.heat))
        for use in uses
    ]
    if len(uses) > 1:
        rows.append(("in all", tuple(sum(column) for column in zip(*(one for _, one in rows), strict=True))))
    readings = [sizes.units.of(of) for _, of in BATCH]
    return tuple(
        (name, *(of.number(value) for of, value in zip(readings, values, strict=True)))
        for name, values in rows
    )


def life_rows(sizes: Sizes) -> tuple[tuple[str, ...], ...]:
    """Valve by valve: openings a batch, and batches until its rated life is used up."""
    return tuple(
        (
            spoken(use.valve),
            f"{use.openings:,}",
            clock(1000 * use.open_s),
            "no life given" if (lasts := batches(use)) is None else f"{lasts:,.0f}",
        )
        for use in sizes.batch.valves
    )


def heat_rows(sizes: Sizes) -> tuple[tuple[str, ...], ...]:
    """Stage by stage: water, heat and steam by hand, with what the batch has beside it."""
    degrees, flow, heat = (sizes.units.of(one) for one in (TEMPERATURE, FLOW, HEAT))
    return tuple(
        (
            _named(one),
            degrees.number(one.host),
            flow.number(one.water),
            f"{heat.number(one.least)} .. {heat.number(one.most)}",
            heat.number(one.predicted),
            flow.number(one.steam),
            flow.number(one.passes),
        )
        for one in sizes.hand
    )


def dose_rows(sizes: Sizes) -> tuple[tuple[str, ...], ...]:
    """Dose by dose: its mass, its steam, and the wall."""
    mass, falls = (sizes.units.of(one) for one in (GRAMS, DIFFERENCE))
    return tuple(
        (
            _named(one),
            f"{mass.of(dose.mass):,.{mass.digits}f}",
            "no steam" if dose.clears is None else SECONDS.text(dose.clears),
            SECONDS.text(dose.period),
            falls.number(dose.dip),
            f"{100 * dose.back:.0f} %",
        )
        for one in sizes.hand
        if (dose := one.dose) is not None
    )


def _named(one: ByHand) -> str:
    return spoken(f"{one.circuit}.{one.valve} in {one.stage}")


def sharing_rows(sizes: Sizes) -> tuple[tuple[str, ...], ...]:
    """What each shared supply still gives, by how many circuits draw on it."""
    found, (pressure, flow) = [], (sizes.units.of(one) for one in (PRESSURE, FLOW))
    for one in sizes.sharings.values():
        shown = [n for n in range(1, len(one.flows) + 1) if n <= MANY or n == len(one.flows)]
        for n in shown if one.shared else ():
            row = (spoken(one.supply), str(n), pressure.text(one.at[n - 1]), flow.text(one.flows[n - 1]))
            found.append((*row, f"{100 * one.kept[n - 1]:.0f} %"))
    return tuple(found)
