"""`make bench`: every measurement, one after the other, on an otherwise idle machine."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from benchmarks import (
    bands,
    bench_session,
    busy,
    code,
    commands,
    coupled,
    doses,
    live,
    page,
    plant_speed,
    proof,
    revisions,
    scan_speed,
    sizes,
    stiff,
    upsets,
)
from benchmarks.table import Row, show

MEASUREMENTS: tuple[Callable[[], Iterable[Row]], ...] = (
    coupled.rows,
    coupled.resolved_rows,
    coupled.coarse_rows,
    bands.rows,
    plant_speed.rows,
    proof.rows,
    proof.good_rows,
    proof.plain_rows,
    busy.rows,
    scan_speed.rows,
    stiff.rows,
    code.rows,
    code.compare_rows,
    revisions.rows,
    sizes.rows,
    upsets.rows,
    doses.rows,
    bench_session.rows,
    bench_session.even_rows,
    live.rows,
    live.busy_rows,
    live.large_rows,
    commands.rows,
    page.rows,
    commands.fresh_rows,
)


def main() -> int:
    """Print every row; exit code 1 when a floor is missed."""
    good = True
    for measure in MEASUREMENTS:
        for row in measure():
            show(row)
            good = good and row.holds is not False
    return 0 if good else 1


if __name__ == "__main__":
    raise SystemExit(main())
