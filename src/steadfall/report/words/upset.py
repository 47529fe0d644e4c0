"""A table of single failures in words: what comes of each, what noticed it, what acted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from attrs import frozen

from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Limit
from steadfall.predict.outcome.result import Load
from steadfall.quantities import DIFFERENCE, MASS, PRESSURE, STRESS, TEMPERATURE, USED, clock, how_long
from steadfall.report.words.items import limit_reading
from steadfall.report.words.names import sentence, spoken
from steadfall.roles import Role
from steadfall.upset.judge import NEAR_GOAL_MISSED, WATER_LEFT, WET
from steadfall.upset.outcome import Figure, Harm, Outcome
from steadfall.upset.table import Row, Table

SUPPORTS = (
    "This table supports a study by licensed practice (IEC 61882) and does not replace one: it tries single "
    "failures of a size of its own choosing in one scenario, and knows of no people, no works around the "
    "plant, and no two failures at once."
)
HARMS = {
    Harm.RATING: "RATING BROKEN",
    Harm.STOPPED: "LEFT WHAT CAN BE COMPUTED",
    Harm.LIMIT: "LIMIT BROKEN",
    Harm.WATER: "WATER LEFT",
    Harm.GOAL: "goal missed",
    Harm.NONE: "no harm",
}
NOTICED_BY = {Role.TRIP: "trip", Role.ALARM: "alarm", Role.PERMISSIVE: "permissive lost:"}
NOBODY = "NOBODY"
TENTH = 100  # ms


@frozen
class Told:
    """A failure in words: its worst row, and the other moments at which the same comes of it."""

    row: Row
    number: int
    harm: str
    deviation: str  # guide word first
    consequence: str
    noticed: str
    acted: str
    pressure: str
    shock: str
    temperature: str
    water: str
    grid: str
    also: tuple[str, ...]  # moments


def folded(found: Table) -> tuple[Told, ...]:
    """Rows of one failure with the same kind of harm and the same notice stand together, the worst first."""
    groups: dict[object, list[Row]] = {}
    for row in found.rows:
        notice = row.outcome.notice
        groups.setdefault((row.failure.name, row.harm, notice and notice.title), []).append(row)
    return tuple(told(found, rows, number) for number, rows in enumerate(groups.values(), start=1))


HEAD = "No.", "Deviation", "Failure", "Consequence", "Noticed by", "What acted"


def cells(found: Table) -> Iterator[tuple[str, ...]]:
    """The same in short, below `HEAD`."""
    for one in folded(found):
        what = f"{one.harm}: {one.consequence}"
        yield str(one.number), one.deviation, one.row.name, what, one.noticed, one.acted


def told(found: Table, rows: Sequence[Row], number: int) -> Told:
    """The first row in words, with the moments of the others."""
    row, out = rows[0], rows[0].outcome
    pressure, shock, temperature, water = worst(found, out)
    return Told(
        row=row,
        number=number,
        harm=HARMS[row.harm],
        deviation=f"{row.failure.guide.value.upper()} {row.failure.deviation}",
        consequence=consequence(found, row),
        noticed=noticed(row),
        acted=acted(out),
        pressure=pressure,
        shock=shock,
        temperature=temperature,
        water=water,
        grid="fine" if row.fine else "coarse",
        also=tuple(one.when.words for one in sorted(rows[1:], key=lambda one: one.when.time_ms)),
    )


def consequence(found: Table, row: Row) -> str:
    """What comes of it, in some words."""
    parts = [figure_words(found, one) for one in row.broken]
    if row.harm is Harm.STOPPED:
        parts.append(row.outcome.ended)
    if row.harm is not Harm.NONE and row.outcome.water_left > found.nominal.water_left + 0.05:
        parts.append(
            f"{found.units.of(MASS).text(row.outcome.water_left)} of water are left in idle circuits"
        )
    if not parts:
        return "every limit, rating and goal is kept" + _later(found, row)
    return "; ".join(parts)


def _later(found: Table, row: Row) -> str:
    """How much later than without a failure the last goal is reached."""
    last, usual = (_last_goal(one) for one in (row.outcome, found.nominal))
    if last is None or usual is None or abs(last - usual) < 0.05 * usual:
        return ""
    return f", {clock(1000 * abs(last - usual))} {'later' if last > usual else 'sooner'}"


def _last_goal(of: Outcome) -> float | None:
    reached = [one.value for one in of.figures if one.kind is Harm.GOAL]
    known = [one for one in reached if one is not None]
    return max(known) if known and len(known) == len(reached) else None


def figure_words(found: Table, one: Figure) -> str:
    """A figure beyond its bound."""
    if one.kind is Harm.GOAL:
        return f"{sentence(one.about)}: {'not reached' if one.value is None else clock(1000 * one.value)}"
    if one.value is None or one.bound is None:
        return sentence(one.about)
    if isinstance(one.of, Limit):
        own = found.units.of(limit_reading(one.of, quantities(found.plan)[one.of.of].reading))
        return f"{sentence(one.about)}: {own.text(one.value)}"
    reading = found.units.of(STRESS if one.of in (Load.STRESS, Load.UNEVEN) else PRESSURE)
    return f"{spoken(one.about)} {reading.text(one.value)}, rated {reading.text(one.bound)}"


def noticed(row: Row) -> str:
    """What noticed it, and after how long."""
    notice = row.outcome.notice
    if notice is None and row.unseen and row.accepted:
        return f"nobody; accepted: {row.accepted}"
    if notice is None:
        return NOBODY if row.harm is not Harm.NONE else "nobody"
    after = round((notice.time_ms - row.outcome.since_ms) / TENTH) * TENTH
    return f"{NOTICED_BY[notice.role]} {notice.title}, after {how_long(after)}"


def acted(of: Outcome) -> str:
    """What followed within a second."""
    parts = [f"{circuit} to {step}" for circuit, step in of.acted.went]
    if of.acted.shut:
        parts.append(f"shut {', '.join(of.acted.shut)}")
    if parts:
        return "; ".join(parts)
    return "nothing" if of.notice is None else "nothing within a second"


def heading(found: Table) -> str:
    """The whole table in some sentences."""
    return " ".join(_heading(found))


def _heading(found: Table) -> Iterator[str]:
    rows = found.rows
    unseen = [row for row in rows if row.open]
    accepted = [row for row in rows if row.unseen and row.harm is not Harm.GOAL and row.accepted]
    harmful = [row for row in rows if row.harm not in (Harm.NONE, Harm.GOAL)]
    names = list(dict.fromkeys(row.failure.name for row in unseen))
    if found.stopped:
        yield f"STOPPED BEFORE THE END: {found.tried} of {found.wanted} rows are known."
    if not rows:
        return
    amiss = [one.about for one in found.nominal.figures if one.margin < 0.0]
    if amiss:
        yield f"ALREADY WHERE NOTHING FAILS it breaks: {'; '.join(amiss)}. A failure counts if it is worse."
    count = f"{len(harmful)} {'breaks' if len(harmful) == 1 else 'break'} a limit or a rating, or leave water"
    yield f"{len(rows)} single failures were tried: {count}."
    if names:
        yield f"NOBODY NOTICES {len(unseen)} of them: {', '.join(names)}."
    elif not accepted:
        yield "None of these goes unnoticed."
    if accepted:
        those = ", ".join(dict.fromkeys(row.failure.name for row in accepted))
        yield f"The plan accepts {len(accepted)} that nobody notices, with its reasons: {those}."
    if found.needless:
        yield f"It accepts without need, since they do no harm unseen: {', '.join(found.needless)}."
    for first, others in found.stand_ins.items():
        if others:
            those = ", ".join(map(spoken, others))
            yield f"{spoken(first)} stands for {those} too: nothing in the plan tells them apart."


def said(found: Table) -> Iterable[str]:
    """What stands under the table."""
    fine, wet = sum(row.fine for row in found.rows), found.units.of(USED).text(WET * WATER_LEFT)
    yield (
        f"Searched on the coarse grid; {fine} rows near or beyond a bound were run again on the fine one: "
        "no limit or rating is called broken without it. A goal that is missed by more than "
        f"{100 * NEAR_GOAL_MISSED:.0f} % of its time, and more than {wet} of water left, "
        "are told from the coarse grid. Coarse figures like those of the run in which nothing "
        "fails are moved as its own are."
    )
    yield SUPPORTS


def usual(found: Table) -> tuple[str, str, str, str]:
    """The worst figures of the run in which nothing fails, on the fine grid."""
    return worst(found, found.nominal)


def worst(found: Table, of: Outcome) -> tuple[str, str, str, str]:
    """The highest pressure, wall shock and temperature of a run with their places; the water it leaves."""
    units = found.units
    return (
        f"{units.of(PRESSURE).text(of.pressure.value)} {spoken(of.pressure.of)}",
        f"{units.of(DIFFERENCE).text(of.shock.value)} {spoken(of.shock.of)}",
        f"{units.of(TEMPERATURE).text(of.temperature.value)} {spoken(of.temperature.of)}",
        units.of(MASS).text(of.water_left),
    )
