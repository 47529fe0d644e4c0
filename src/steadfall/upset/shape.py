"""The table as plain data in stable names (docs/json.md): SI units, times in s."""

from __future__ import annotations

from typing import Any

from steadfall.upset.outcome import Figure, Outcome, Worst
from steadfall.upset.table import Row, Table


def shape(found: Table) -> dict[str, Any]:
    """The whole table."""
    return {
        "stopped": found.stopped,
        "tried": found.tried,
        "wanted": found.wanted,
        "stand_ins": [
            {"circuit": first, "stands_for": list(others)} for first, others in found.stand_ins.items()
        ],
        "nominal": _outcome(found.nominal),
        "accepted_needlessly": list(found.needless),
        "rows": [_row(row) for row in found.rows],
    }


def _row(row: Row) -> dict[str, Any]:
    failure, out = row.failure, row.outcome
    notice = out.notice
    return {
        "name": row.name,
        "of": failure.of,
        "what": failure.words,
        "when": row.when.words,
        "at_s": row.when.time_ms / 1000,
        "guide_word": failure.guide.value,
        "deviation": failure.deviation,
        "cause": failure.cause,
        "harm": row.harm.name.lower(),
        "unseen": row.unseen,
        "accepted": row.accepted or None,
        "broken": [_figure(one) for one in row.broken],
        "noticed": None
        if notice is None
        else {
            "by": notice.role.value,
            "title": notice.title,
            "after_s": (notice.time_ms - out.since_ms) / 1000,
        },
        "shut": list(out.acted.shut),
        "went": [{"circuit": circuit, "step": step} for circuit, step in out.acted.went],
        "grid": "fine" if row.fine else "coarse",
        "outcome": _outcome(out),
    }


def _outcome(of: Outcome) -> dict[str, Any]:
    return {
        "pressure": _worst(of.pressure),
        "wall_shock": _worst(of.shock),
        "temperature": _worst(of.temperature),
        "water_left_kg": of.water_left,
        "ended": of.ended,
        "end_s": of.end_ms / 1000,
    }


def _worst(one: Worst) -> dict[str, Any]:
    return {"value": one.value, "of": one.of}


def _figure(one: Figure) -> dict[str, Any]:
    return {
        "kind": one.kind.name.lower(),
        "about": one.about,
        "value": one.value,
        "bound": one.bound,
        "at_s": None if one.time_ms is None else one.time_ms / 1000,
    }
