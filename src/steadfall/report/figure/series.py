"""A curve as it is drawn: a line, a line with its band, or a held value, thinned to what the sheet can show.

Rule of this file: thinning never hides a peak. Where many records fall on one stretch of the sheet the band
runs from the least to the greatest of them and the line is their mean. Of a pulsed quantity, whose value at a
record says little of what lies between two records, the line is drawn only where the band is narrow.
"""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from steadfall.report.figure.scale import Scale
from steadfall.report.figure.svg import fixed, polyline, short

Floats = NDArray[np.float64]
Times = NDArray[np.int64]

NARROW = 0.1  # of the height of the chart: a pulsed quantity has a line where its band is no wider
COLUMN = 3.0  # px of the sheet on which records are taken together


@frozen(eq=False)
class Series:
    """One curve in the unit in which it is shown. `low` and `high` bound a band; `look` is its style on the
    sheet.
    """

    name: str
    label: str
    symbol: str
    digits: int
    times_ms: Times = field(repr=False)
    mid: Floats = field(repr=False)
    low: Floats | None = field(default=None, repr=False)
    high: Floats | None = field(default=None, repr=False)
    step: bool = False
    pulsed: bool = False
    look: str = "a"
    shows: tuple[str, ...] = ()  # the signals of the trace that its line and band are drawn from

    def extent(self, start_ms: float, end_ms: float) -> tuple[float, float]:
        """The least and the greatest value in a stretch of time."""
        cut = within(self, start_ms, end_ms)
        least = self.mid if self.low is None else self.low
        most = self.mid if self.high is None else self.high
        return float(np.min(least[cut])), float(np.max(most[cut]))

    def at(self, time_ms: float) -> float:
        """The value of the line at a moment; a held value until it changes, else straight between records."""
        if self.step:
            index = max(0, int(np.searchsorted(self.times_ms, time_ms, side="right")) - 1)
            return float(self.mid[index])
        return float(np.interp(time_ms, self.times_ms, self.mid))

    def words(self, time_ms: float) -> str:
        """The value at a moment, or of a pulsed quantity the range that it had about then: `0.35 to 2.10`."""
        if self.pulsed and self.low is not None and self.high is not None:
            place = min(int(np.searchsorted(self.times_ms, time_ms)), len(self.times_ms) - 1)
            low, high = (
                fixed(float(self.low[place]), self.digits),
                fixed(float(self.high[place]), self.digits),
            )
            if low != high:
                return f"{low} to {high}"
        return fixed(self.at(time_ms), self.digits)


def within(series: Series, start_ms: float, end_ms: float) -> slice:
    """The records of a stretch of time, with one neighbour on each side."""
    first = int(np.searchsorted(series.times_ms, start_ms, side="left")) - 1
    last = int(np.searchsorted(series.times_ms, end_ms, side="right")) + 1
    return slice(max(0, first), min(len(series.times_ms), last))


def thinned(
    series: Series, start_ms: float, end_ms: float, columns: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """Times, line, lower and upper edge, at most one record for each column of the sheet."""
    cut = within(series, start_ms, end_ms)
    times = series.times_ms[cut].astype(np.float64)
    mid = series.mid[cut]
    low = mid if series.low is None else series.low[cut]
    high = mid if series.high is None else series.high[cut]
    if len(times) <= 2 * columns:
        return times, mid, low, high
    column = np.floor((times - start_ms) / (end_ms - start_ms) * columns)
    starts = np.flatnonzero(np.diff(column, prepend=column[0] - 1))
    counts = np.diff(starts, append=len(times))
    mean = np.add.reduceat(mid, starts) / counts
    least, most = np.minimum.reduceat(low, starts), np.maximum.reduceat(high, starts)
    calm = np.clip(_calmed(mean, most - least), least, most)
    return np.add.reduceat(times, starts) / counts, calm, least, most


def peaks(
    times: Floats, values: Floats, start_ms: float, end_ms: float, columns: int
) -> tuple[Floats, Floats]:
    """The records that a line through so many columns shows: of each column the first and the last, the
    least and the greatest, in their order; all of them where they are few.
    """
    if len(times) <= 4 * columns:
        return times, values
    edges = start_ms + (end_ms - start_ms) / columns * np.arange(columns + 1)
    starts = np.unique(np.append(0, np.searchsorted(times, edges)))
    starts = starts[starts < len(times)]
    group = np.repeat(np.arange(len(starts)), np.diff(starts, append=len(times)))
    kept = np.zeros(len(times), dtype=bool)
    kept[starts] = True
    kept[np.append(starts[1:], len(times)) - 1] = True
    for extreme in (np.minimum, np.maximum):
        found = np.flatnonzero(values == extreme.reduceat(values, starts)[group])
        kept[found[np.diff(group[found], prepend=-1) > 0]] = True
    return times[kept], values[kept]


def _calmed(mean: Floats, width: Floats) -> Floats:
    """Where doses beat with the columns, half the weight goes to the neighbours; a true change stays
    sharp.
    """
    calm = mean.copy()
    if len(mean) > 2:
        before, here, after = mean[:-2], mean[1:-1], mean[2:]
        narrowest = np.minimum(np.minimum(width[:-2], width[1:-1]), width[2:])
        beats = np.maximum(np.abs(here - before), np.abs(after - here)) < narrowest
        calm[1:-1] = np.where(beats, 0.25 * before + 0.5 * here + 0.25 * after, here)
    return calm


def line_path(series: Series, x: Scale, y: Scale) -> str:
    """The line as the `d` of a path; empty where nothing was recorded."""
    if series.step:
        return _held_path(series, x, y)
    if series.low is None and not series.pulsed:
        cut = within(series, x.low, x.high)
        all_times = series.times_ms[cut].astype(np.float64)
        times, values = peaks(all_times, series.mid[cut], x.low, x.high, int(x.end - x.start))
        across, up = x.of(times).tolist(), y.of(values).tolist()
        return polyline(zip(across, up, strict=True)) if len(times) else ""
    times, mid, low, high = thinned(series, x.low, x.high, int((x.end - x.start) / COLUMN))
    points = [(x(t), y(v)) for t, v in zip(times, mid, strict=True)]
    if not series.pulsed:
        return polyline(points) if points else ""
    narrow = high - low <= NARROW * (y.high - y.low)
    runs = groupby(zip(points, narrow.tolist(), strict=True), key=itemgetter(1))
    return "".join(polyline(point for point, _ in run) for shown, run in runs if shown)


def band_path(series: Series, x: Scale, y: Scale) -> str:
    """The band between the edges as the `d` of a closed path; empty where there is none."""
    if series.low is None and series.high is None:
        return ""
    times, _, low, high = thinned(series, x.low, x.high, int((x.end - x.start) / COLUMN))
    if not len(times):
        return ""
    there = [(x(t), y(v)) for t, v in zip(times, high, strict=True)]
    back = [(x(t), y(v)) for t, v in zip(times[::-1], low[::-1], strict=True)]
    return polyline(there + back) + "Z"


def _held_path(series: Series, x: Scale, y: Scale) -> str:
    cut = within(series, x.low, x.high)
    times, values = series.times_ms[cut], series.mid[cut]
    if not len(times):
        return ""
    path = f"M{short(x(float(times[0])))} {short(y(float(values[0])))}"
    for time, value in zip(times[1:], values[1:], strict=True):
        path += f"H{short(x(float(time)))}V{short(y(float(value)))}"
    return path + f"H{short(x.end)}"
