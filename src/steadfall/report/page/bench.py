"""A session of the bench as one HTML file that needs nothing else, in the look of the other reports."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from attrs import evolve

from steadfall.bench.judge.finding import Finding, Said
from steadfall.bench.judge.whole import Judged
from steadfall.bench.session.journal import Recording
from steadfall.bench.session.traced import signals_shown, traced
from steadfall.plan.meaning.names import identities
from steadfall.plan.model import Plan
from steadfall.report.figure.figure import Figure, draw_figure
from steadfall.report.figure.lanes import Lanes
from steadfall.report.figure.measured import measured_panels
from steadfall.report.page.packed import packed
from steadfall.report.page.paper import filled, script_safe
from steadfall.report.page.proof_figure import strips_figure
from steadfall.report.text.bench import pace_text
from steadfall.report.words.cautions import CAUTIONS
from steadfall.report.words.happened import Watched, changing, steady
from steadfall.report.words.names import spoken
from steadfall.report.words.times import moment_of
from steadfall.roles import HELPER, Role

NAME = "session.html"
AROUND_MS = 4_000  # before and after the moment of a departure
ABOUT = (
    "A bench",
    "It says what this controller did in these cases, and no more: no proof, no safety assessment and no "
    "licence to start. Before anything is connected the field side is isolated.",
)
ORDER = (Said.FAIL, Said.NOT_JUDGED, Said.NOT_EXERCISED, Said.PASS)
WHERE = "departed"
TITLES = {"session": "The session", "departed": "Around the departure"}


def session_page(plan: Plan, recording: Recording, judged: Judged, *, dated: str = "") -> str:
    """The page as text; raises OutsideError when jinja2 is not installed."""
    figures = list(_figures(plan, recording, judged))
    required = sorted(judged.required, key=lambda one: ORDER.index(one.said))
    content: Mapping[str, Any] = {
        "plan": plan,
        "head": recording.head,
        "begun": moment_of(recording.head["begun"]),
        "ended": recording.ended or "it was cut off",
        "good": judged.good,
        "found": [one for one in (judged.conforms, *_recorder(judged)) if one],
        "required": required,
        "counts": {said.value: sum(one.said is said for one in required) for said in ORDER},
        "covered": judged.covered,
        "pace": pace_text(judged.pace),
        "scans": judged.exact.times if judged.exact else {},
        "figures": [(f"{TITLES[one.name]}, {one.caption}", draw_figure(one)) for one in figures],
        "data": script_safe(packed(figures)),
        "cautions": (ABOUT, *(row for row in CAUTIONS if row[0] != "Estimate")),
        "lines": plan.text.splitlines(),
        "dated": dated,
    }
    return filled("bench.html.j2", content)


def _recorder(judged: Judged) -> Sequence[Finding]:
    return (judged.exact.conforms, judged.exact.pace) if judged.exact else ()


def _figures(plan: Plan, recording: Recording, judged: Judged) -> Sequence[Figure]:
    """The whole session, and what was around each departure."""
    trace = traced(recording.rows, signals_shown(plan))
    if not trace.tracks or not trace.end_ms:
        return []
    moments = [one.at_ms for one in (judged.conforms, *judged.required) if one.said is Said.FAIL]
    first = min((at for at in moments if at is not None), default=None)
    held = [one for one in trace.tracks.values() if one.kind != "real"]
    seen = [_watched(plan, one.name) for one in held if one.kind == "bool"]
    changed = {one.name for one in changing(trace, seen)}
    shown = [one.name for one in held if one.kind != "bool" or one.name in changed]
    end = round(first) if first is not None else trace.end_ms
    charts, cuts = measured_panels(plan, trace), _cuts(recording)
    drawn = trace, shown, (0, trace.end_ms)
    whole = strips_figure(plan, "session", drawn, end, _words(first), cuts=cuts)
    others = Lanes("", (), (), steady(trace, seen))
    whole = evolve(whole, panels=charts, rows=(*whole.rows, others))
    if first is None:  # its end is nothing wrong
        marked = (evolve(one, look="says") if one.look == "wrong" else one for one in whole.marked)
        return [evolve(whole, marked=tuple(marked))]
    window = max(0, end - AROUND_MS), min(trace.end_ms, end + AROUND_MS)
    around = strips_figure(
        plan, "departed", (trace, [one.name for one in held], window), end, WHERE, cuts=cuts
    )
    return [evolve(around, panels=charts), whole]


def _watched(plan: Plan, name: str) -> Watched:
    what = identities(plan).get(name, HELPER).role
    opens = what is Role.COMMAND or name in plan.main_valves
    words = spoken(name.replace(".", ": "))
    return Watched(name, words, ("shut", "open")) if opens else Watched(name, words)


def _cuts(recording: Recording) -> tuple[tuple[int, int], ...]:
    """When the controller had no power."""
    return tuple((round(row.power[0]), round(row.power[1])) for row in recording.rows if row.power)


def _words(first: float | None) -> str:
    return "ended" if first is None else WHERE
