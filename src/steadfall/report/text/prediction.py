"""The prediction in a terminal: verdict first, then what it rests on, in aligned columns of plain text.

Rule of this file: words carry the meaning; whoever prints it may add colour, and loses nothing without.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from steadfall.predict.outcome.result import BOOKS_CLOSE_TO, Prediction
from steadfall.quantities import PRESSURE, clock
from steadfall.report.words.grids import HEAD, grid_words
from steadfall.report.words.heat import heat_head, heat_rows
from steadfall.report.words.items import Item, goal_items, limit_items
from steadfall.report.words.names import spoken
from steadfall.report.words.notes import told
from steadfall.report.words.odds import HEAD as ODDS_HEAD
from steadfall.report.words.odds import driver_words, heading, odds_rows, whole_rows
from steadfall.report.words.strains import steam_head, steam_rows, strain_rows
from steadfall.report.words.verdict import SIGNS, verdict

WIDTH = 100
NARROWEST = 60
LEAST_ROOM = 24  # of a limit's sentence beside its figures; where there is less they stand under it
GAPS = (3, 2, 1)  # between the columns of a table, the widest that fits
INDENT = "  "
MOMENTS = 12  # stages shown for each circuit
TIE = "\N{NO-BREAK SPACE}"
LOUD = "THE BOOKS DO NOT CLOSE"


def summary(prediction: Prediction, width: int = WIDTH) -> str:
    """The whole summary as text, at most `width` columns (from 60 on)."""
    width = max(NARROWEST, width)
    blocks = [
        _head(prediction, width),
        _verdict(prediction, width),
        _items("Limits", "worst", limit_items(prediction), width),
        _items("Goals", "came to", goal_items(prediction), width),
        "\n".join(_wrapped(grid_words(prediction), width)),
        _odds(prediction, width),
        _stages(prediction, width),
        _use(prediction, width),
        _heat(prediction, width),
        _strains(prediction, width),
        _valves(prediction, width),
        _books(prediction, width),
        _notes(prediction, width),
    ]
    return "\n\n".join(block for block in blocks if block)


def _head(prediction: Prediction, width: int) -> str:
    plan = prediction.plan
    facts = [
        f"scenario: {prediction.scenario}",
        f"revised {plan.revised}" if plan.revised else "",
        f"plan {plan.digest[:12]}" if plan.digest else "",
        f"{clock(prediction.end_ms)} predicted",
    ]
    line = "   ".join(fact.replace(" ", TIE) if len(fact) <= width else fact for fact in facts if fact)
    return "\n".join(
        [*_wrapped(plan.title, width), *(row.replace(TIE, " ") for row in _wrapped(line, width))]
    )


def _verdict(prediction: Prediction, width: int) -> str:
    return "\n".join(_wrapped(f"{SIGNS[prediction.verdict]}. {verdict(prediction)}", width))


def _items(title: str, heading: str, items: Sequence[Item], width: int) -> str:
    """Numbered rows; a long sentence runs on below itself and its figures stay in their columns, or under it
    where there is no room beside it.
    """
    if not items:
        return ""
    worst = max([len(heading), *(len(item.worst) for item in items)])
    when = max([len("when"), *(len(item.when) for item in items)])
    word = max(len(_word(item)) for item in items)
    finer = max(len(item.finer) for item in items)
    finer = max(finer, len(HEAD)) + 2 if finer else 0  # no column where nothing differs
    room = width - len(INDENT) - 4 - 2 - worst - 2 - when - finer - 2 - word
    if room < LEAST_ROOM:
        return "\n".join([title, *(line for item in items for line in _upright(item, width))])
    head = HEAD if finer else ""
    rows = [f"{title:<{len(INDENT) + 4 + room}}  {heading:>{worst}}  {'when':>{when}}{head:>{finer}}"]
    for item in items:
        first, *more = textwrap.wrap(item.sentence, room) or [""]
        figures = f"{item.worst:>{worst}}  {item.when:>{when}}{item.finer:>{finer}}  {_word(item)}"
        rows.append(f"{INDENT}{item.number:>2}  {first:<{room}}  {figures}".rstrip())
        rows += [f"{INDENT}    {line}" for line in more]
    return "\n".join(rows)


def _upright(item: Item, width: int) -> Iterable[str]:
    room = width - len(INDENT) - 4
    first, *more = textwrap.wrap(item.sentence, room) or [""]
    finer = f"{HEAD} {item.finer}" if item.finer else ""
    figures = "  ".join(part for part in (item.worst, item.when, finer) if part)
    whole = f"{figures}  {_word(item)}"
    yield f"{INDENT}{item.number:>2}  {first}"
    yield from (
        f"{INDENT}    {line}"
        for line in (*more, *([whole] if len(whole) <= room else [figures, _word(item)]))
    )


def _word(item: Item) -> str:
    place = f", plan line {item.line}" if item.line and not item.kept else ""
    return f"{item.verdict}{place}"


def _odds(prediction: Prediction, width: int) -> str:
    """What many runs round this one say; nothing where they were not asked for."""
    bands = prediction.bands
    if bands is None:
        return ""
    whole = [("Bands", "kept in"), *((INDENT + first, share) for first, share in whole_rows(bands))]
    rows = [("Points", *ODDS_HEAD[1:]), *((INDENT + first, *rest) for first, *rest in odds_rows(prediction))]
    words = ["", *_wrapped(driver_words(bands), width)] if bands.drivers else []
    return "\n".join(
        [_table(whole, width), "", _table(rows, width), "", *_wrapped(heading(bands), width), *words]
    )


def _stages(prediction: Prediction, width: int) -> str:
    """Circuit by circuit, each stage with the moment it was entered."""
    circuits = prediction.plan.circuits
    side = max((len(spoken(name)) for name in circuits), default=0) + 2
    rows = ["Stages entered"]
    for name in circuits:
        lead = f"{INDENT}{spoken(name):<{side}}"
        lines = textwrap.wrap(
            "  ".join(_entered(prediction, name)), width - len(lead), break_on_hyphens=False
        )
        rows += [(lead if index == 0 else " " * len(lead)) + line for index, line in enumerate(lines)]
    return "\n".join(rows).replace(TIE, " ") if len(rows) > 1 else ""


def _entered(prediction: Prediction, circuit: str) -> list[str]:
    """`0:45 soaking`, tied so that it is never broken; of very many the first, and how many more."""
    entered = [f"{clock(m.time_ms)} {spoken(m.stage)}" for m in prediction.moments if m.circuit == circuit]
    more = len(entered) - MOMENTS
    shown = entered if more <= 0 else [*entered[:MOMENTS], f"and {more} more"]
    return [words.replace(" ", TIE) for words in shown]


def _use(prediction: Prediction, width: int) -> str:
    """Water, air and heat of each circuit, and all of them together."""
    rows: list[tuple[str, ...]] = [
        ("Use", "water kg", "steam kg", "left kg", "air kg", "heat MJ", "peak barg", "when")
    ]
    rows += [
        (
            INDENT + spoken(use.circuit),
            *(
                f"{amount:.1f}"
                for amount in (use.water, use.evaporated, use.water_left, use.air, use.heat * 1e-6)
            ),
            PRESSURE.number(use.peak_pressure),
            clock(use.peak_ms),
        )
        for use in prediction.circuits
    ]
    if len(prediction.circuits) > 1:
        amounts = [
            (use.water, use.evaporated, use.water_left, use.air, use.heat * 1e-6)
            for use in prediction.circuits
        ]
        rows.append(
            (f"{INDENT}in all", *(f"{sum(column):.1f}" for column in zip(*amounts, strict=True)), "", "")
        )
    return _table(rows, width) if prediction.circuits else ""


def _heat(prediction: Prediction, width: int) -> str:
    """Where the heat went and where it came from."""
    rows = [heat_head(prediction), *((INDENT + first, *rest) for first, *rest in heat_rows(prediction))]
    return _table(rows, width) if prediction.circuits else ""


def _strains(prediction: Prediction, width: int) -> str:
    """What the plant went through against what it is rated for, and the steam."""
    if not prediction.strains:
        return ""
    found = strain_rows(prediction)
    finer = any(row.finer for row in found)
    rows: list[tuple[str, ...]] = [
        ("", "", "worst", "when", *((HEAD,) if finer else ()), "allowed", ""),
        *(
            (
                *(INDENT + row.about, row.what, row.worst, row.when),
                *((row.finer,) if finer else ()),
                *(row.allowed, row.verdict),
            )
            for row in found
        ),
    ]
    steam = [steam_head(prediction), *((INDENT + first, *rest) for first, *rest in steam_rows(prediction))]
    return f"What the plant goes through\n{_table(rows, width, heads=2)}\n\n{_table(steam, width)}"


def _valves(prediction: Prediction, width: int) -> str:
    rows = [("Valves", "openings", "open for", "share of life")]
    rows += [
        (INDENT + use.valve, f"{use.openings:,}", clock(use.open_s * 1000), life_words(use.life_share))
        for use in prediction.valves
    ]
    return _table(rows, width) if prediction.valves else ""


def life_words(share: float | None) -> str:
    """The share of a valve's life in percent, to two figures."""
    return "" if share is None else f"{share * 100:.2g} %"


def _books(prediction: Prediction, width: int) -> str:
    if not prediction.balance:
        return ""
    errors = "   ".join(f"{name} {error:.1e}" for name, error in prediction.balance.items())
    if prediction.books_close:
        return "\n".join(_wrapped(f"Books close   (relative errors: {errors})", width))
    wrong = [name for name, error in prediction.balance.items() if not abs(error) <= BOOKS_CLOSE_TO]
    words = f"{' and '.join(wrong)}: off by more than {BOOKS_CLOSE_TO:.1%}; do not rely on this prediction."
    bar = "!" * len(LOUD)
    return "\n".join(
        [bar, LOUD, bar, *_wrapped(words, width), *_wrapped(f"relative errors: {errors}", width)]
    )


def _notes(prediction: Prediction, width: int) -> str:
    if not prediction.notes:
        return ""
    rows = ["Notes"]
    for note in told(prediction.notes):
        about = f"{note.about}: " if note.about else ""
        first, *more = _wrapped(about + note.words, width - len(INDENT) - 2)
        rows += [f"{INDENT}- {first}", *(f"{INDENT}  {line}" for line in more)]
    return "\n".join(rows)


def _table(rows: Sequence[Sequence[str]], width: int, heads: int = 1) -> str:
    """Columns under each other: the first to the left, figures to the right.

    Columns that have no room follow in a table below, which begins with the first `heads` again.
    """
    widths = [max(len(row[index]) for row in rows) for index in range(len(rows[0]))]
    for gap in GAPS:
        if sum(widths) + gap * (len(widths) - 1) <= width or (gap == GAPS[-1] and len(widths) <= heads + 1):
            return "\n".join(_table_row(row, widths, gap) for row in rows)
    fitting = (n for n in range(len(widths) - 1, heads, -1) if sum(widths[:n]) + n - 1 <= width)
    half = heads + (len(widths) - heads + 1) // 2
    cut = min(half, next(fitting, heads + 1))
    below = [(*row[:heads], *row[cut:]) for row in rows]
    return f"{_table([row[:cut] for row in rows], width, heads)}\n{_table(below, width, heads)}"


def _table_row(row: Sequence[str], widths: Sequence[int], gap: int) -> str:
    cells = [
        f"{row[0]:<{widths[0]}}",
        *(f"{cell:>{wide}}" for cell, wide in zip(row[1:], widths[1:], strict=True)),
    ]
    return (" " * gap).join(cells).rstrip()


def _wrapped(words: str, width: int) -> Iterable[str]:
    return textwrap.wrap(words, width) or [""]
