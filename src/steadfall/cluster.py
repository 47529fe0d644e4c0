"""Runs on a Dask cluster: the one door to `distributed`.

Rule of this file: a cluster does what processes on this machine do, with the same result. A worker that is
lost costs the run it was in the middle of, and another does that again; only where nobody is left it ends.
"""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from queue import Empty, Queue
from typing import Any

from attrs import frozen
from distributed import Client, Future
from distributed.client import FutureCancelledError
from distributed.comm import CommClosedError, parse_address, parse_host_port
from distributed.comm.registry import get_backend
from distributed.scheduler import KilledWorker

from steadfall import __version__
from steadfall.source import OutsideError

PATIENCE = 20.0  # s for a scheduler to answer, and without any worker before it is given up
BEAT = 1.0  # s between two looks at who is still there
START = "start one with: dask scheduler, and on each machine: dask worker ADDRESS --nthreads 1"


@frozen(eq=False)
class Cluster:
    """The workers that a scheduler knows."""

    client: Client
    address: str
    many: int  # runs at once

    def each(self, work: Callable[[Any], Any], tasks: Sequence[Any]) -> Iterator[Any]:
        """What comes of each task, as it comes. Raises OutsideError where the cluster is lost."""
        futures = self.client.map(work, tasks, pure=False)
        try:
            yield from self._come(futures)
        except (KilledWorker, FutureCancelledError, CommClosedError, asyncio.CancelledError) as error:
            raise OutsideError(f"the cluster at {self.address} was lost in the middle of the work") from error
        finally:
            if self.client.status == "running":
                self.client.cancel(futures)

    def _come(self, futures: list[Future]) -> Iterator[Any]:
        ended: Queue[Future] = Queue()
        for one in futures:
            one.add_done_callback(ended.put)
        left, alone = len(futures), 0.0
        while left:
            try:
                done = ended.get(timeout=BEAT)
            except Empty:
                alone = 0.0 if self.client.nthreads() else alone + BEAT
                if alone >= PATIENCE:
                    raise OutsideError(f"the cluster at {self.address} has no worker left; {START}") from None
                continue
            left -= 1
            yield done.result()


@contextmanager
def cluster(address: str) -> Iterator[Cluster]:
    """The cluster of the scheduler at an address, such as tcp://10.0.0.5:8786.

    Raises OutsideError where nobody answers, nobody works, or somebody has another version.
    """
    try:
        _knock(address)
        client = Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError, CommClosedError) as error:
        what = f"no Dask scheduler answers at {address!r}; expected host:port, as tcp://10.0.0.5:8786"
        raise OutsideError(f"{what}; {START}") from error
    try:
        yield Cluster(client, address, _fit(client, address))
    finally:
        client.close(timeout=PATIENCE)


def _knock(address: str) -> None:
    """Raises OSError or ValueError where nobody listens: a client that fails says so late, in a traceback."""
    kind, place = parse_address(address)
    get_backend(kind)
    with socket.create_connection(parse_host_port(place), PATIENCE):
        pass


def _fit(client: Client, address: str) -> int:
    """How many runs it does at once. Raises OutsideError where a worker would run something else."""
    threads = client.nthreads()
    if not threads:
        raise OutsideError(f"the cluster at {address} has no worker; {START}")
    found = client.run(version, on_error="return")
    for worker, seen in found.items():
        if seen != __version__:
            has = f"version {seen}" if isinstance(seen, str) else "no version that can be asked"
            raise OutsideError(
                f"worker {worker} has {has} of steadfall; expected {__version__}: install the same on each"
            )
    return int(sum(threads.values()))


def version() -> str:
    """Which version a worker runs."""
    return __version__
