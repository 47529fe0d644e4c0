"""A session of the bench while it goes on, as its journal tells it: how all stands, and the last half minute.

Rule of this file: it reads what was kept and nothing else, so that what is shown is the evidence.
"""

from __future__ import annotations

from pathlib import Path

from attrs import evolve

from steadfall.bench.session.journal import CYCLES, Row, Span, whole_rows
from steadfall.bench.session.traced import signals_shown, traced
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.report.figure.figure import RIGHT, draw_figure
from steadfall.report.figure.measured import measured_panels
from steadfall.report.page.proof_figure import strips_figure

WINDOW_MS, SHORTEST_MS = 30_000, 10_000


class Following:
    """A journal from its beginning on."""

    def __init__(self, folder: Path, plan: Plan) -> None:
        self.plan, self.values = plan, dict[str, Value]()
        self._path, self._names = folder / CYCLES, signals_shown(plan)
        self._read, self._rows = 0, list[Row]()
        self._before: dict[str, Value] = {}  # as all stood before the first row that is kept

    def more(self) -> bool:
        """Read what was written since; whether there is anything."""
        try:
            with self._path.open("rb") as file:
                file.seek(self._read)
                data = file.read()
        except OSError:
            return False
        whole = data[: data.rfind(b"\n") + 1]
        self._read += len(whole)
        rows = whole_rows(whole)
        for row in rows:
            self.values |= _values(row)
        self._rows += rows
        while self._rows and _end(self._rows[0]) < _end(self._rows[-1]) - WINDOW_MS:
            self._before |= _values(self._rows.pop(0))
        return bool(rows)

    def picture(self) -> str:
        """The last half minute of what was measured, of switches, valves and stages."""
        if not self._rows:
            return ""
        first = self._rows[0].reads[0]
        known = Span(first.begin, first.begin, self._before)
        rows = [evolve(self._rows[0], reads=(known, *self._rows[0].reads)), *self._rows[1:]]
        trace = traced(rows, self._names)
        shown = [name for name in trace.tracks if trace.tracks[name].kind != "real"]
        begin = max(0, trace.end_ms - WINDOW_MS)
        if not shown or trace.end_ms <= begin:
            return ""
        window = begin, max(trace.end_ms, SHORTEST_MS)
        strips = strips_figure(self.plan, "live", (trace, shown, window), trace.end_ms, "now", still=True)
        return draw_figure(evolve(strips, panels=measured_panels(self.plan, trace), right=RIGHT))


def _values(row: Row) -> dict[str, Value]:
    return {name: value for part in (*row.reads, *row.writes) for name, value in part.values.items()}


def _end(row: Row) -> float:
    return row.reads[-1].end
