"""The curves once more as numbers for the script of the page: small enough to mail, exact enough to read.

Rule of this file: a value is kept in 16 bits between the least and the greatest of its curve, so that it is
off by at most 1/130,000 of that range. Valve openings and stages are kept to the millisecond. When there are
too many records they are thinned to `MOST` in all; bands keep their extremes, lines their peaks.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from typing import Any

import numpy as np

from steadfall.report.figure.figure import Figure
from steadfall.report.figure.series import Floats, Series, Times, peaks, thinned

MOST = 330_000  # numbers kept in all, about 0.9 MB of text
STEPS = 65_535


def packed(figures: Sequence[Figure], most: int | None = None) -> Mapping[str, Any]:
    """Every curve and strip of the figures, each once, with so many numbers in all; None: `MOST`."""
    series = {one.name: one for figure in figures for panel in figure.panels for one in panel.series}
    lanes = {lane.name: lane for figure in figures for rows in figure.rows for lane in rows.lanes}
    share = min(1.0, (most or MOST) / max(1, sum(_numbers(one) for one in series.values())))
    return {
        "series": {name: _series(one, share) for name, one in series.items()},
        "strips": {name: _deltas(chain.from_iterable(lane.openings)) for name, lane in lanes.items()},
    }


def _numbers(series: Series) -> int:
    return len(series.mid) * (1 if series.low is None else 3)


def _series(series: Series, share: float) -> Mapping[str, Any]:
    times, mid, low, high = series.times_ms, series.mid, series.low, series.high
    if share < 1.0 and not series.step and len(times) > 2:
        times, mid, low, high = _fewer(series, len(times) * share)
    return {
        "symbol": series.symbol,
        "digits": series.digits,
        "step": series.step,
        "pulsed": series.pulsed,
        "times": _times(times),
        "mid": _values(mid),
        "low": None if low is None else _values(low),
        "high": None if high is None else _values(high),
    }


def _fewer(series: Series, most: float) -> tuple[Times, Floats, Floats | None, Floats | None]:
    """About so many records of a curve."""
    start, end = float(series.times_ms[0]), float(series.times_ms[-1])
    if series.low is None:
        kept, values = peaks(
            series.times_ms.astype(np.float64), series.mid, start, end, max(1, int(most / 4))
        )
        return kept.astype(np.int64), values, None, None
    times, mid, low, high = thinned(series, start, end, max(1, int(most / 2)))
    return np.round(times).astype(np.int64), mid, low, high


def _times(times: Times) -> Mapping[str, Any]:
    """Evenly spaced moments as three numbers, others one by one."""
    gaps = np.diff(times)
    if len(gaps) and np.all(gaps == gaps[0]):
        return {"first": int(times[0]), "gap": int(gaps[0]), "count": len(times)}
    return {"each": _deltas(times)}


def _deltas(moments: Iterable[int]) -> list[int]:
    """Moments as the times between them."""
    gaps: list[int] = np.diff(np.fromiter(moments, dtype=np.int64), prepend=0).tolist()
    return gaps


def _values(values: Floats) -> Mapping[str, Any]:
    least, most = float(np.min(values)), float(np.max(values))
    unit = (most - least) / STEPS or 1.0
    steps = np.clip(np.round((values - least) / unit), 0, STEPS).astype("<u2")
    return {"least": least, "unit": unit, "data": base64.b64encode(steps.tobytes()).decode("ascii")}
