"""Who does many runs: processes of this machine, or a cluster."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

from steadfall.extras import opened
from steadfall.workers import Crew, Processes


@contextmanager
def crew(workers: int | None = None, cluster: str = "") -> Iterator[Crew]:
    """So many processes (as many as there are processors), or the Dask cluster at an address.

    Raises OutsideError where `distributed` is not installed, or the cluster does not answer.
    """
    if not cluster:
        yield Processes(workers or os.cpu_count() or 1)
        return
    with opened("steadfall.cluster").cluster(cluster) as found:
        yield found
