"""A soft controller in this process, in its own time: a link and a clock in one, for rehearsals and tests.

Rule of this file: time passes only where somebody waits. Scans come at moments by a seed, inputs that are
written count from the next scan on, and outputs are those of the last one.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Mapping

from steadfall.bench.link.exchange import Exchange, Link, Part, Peer
from steadfall.bench.soft.controller import Soft, panel_of
from steadfall.logic.nodes import Value

MS = 1_000_000  # ns


class LockStep:
    """A controller whose scans take from `shortest_ms` to `longest_ms`; an exchange takes `link_ms`.

    `settings`: its inputs that are set on a panel, and stay as they are.
    """

    def __init__(
        self,
        soft: Soft,
        shortest_ms: int,
        longest_ms: int,
        *,
        seed: int = 1,
        link_ms: int = 2,
        settings: Collection[str] = (),
    ) -> None:
        self.soft = soft
        self.scan_ms: list[int] = []  # the moment of each scan
        self._between, self._link = (shortest_ms, longest_ms), link_ms
        self._random = random.Random(seed)
        self._now, self._last, self._next = 0, 0, self._random.randint(0, longest_ms)
        self._panel = panel_of(soft.network, settings)
        self._inputs: dict[str, Value] = dict(self._panel)
        self._outputs = soft.shown()

    def now_ns(self) -> int:
        """Its time."""
        return self._now * MS

    def wait_until(self, ns: int) -> None:
        """Let it scan up to a moment."""
        until = max(self._now, ns // MS)
        while self._next <= until:
            dt = self._next - self._last if self.soft.scans else 0
            self._outputs = self.soft.scan(dt, self._inputs)
            self.scan_ms.append(self._next)
            self._last, self._next = self._next, self._next + self._random.randint(*self._between)
        self._now = until

    def problems(self) -> list[str]:
        """None: it is what the plan says it is."""
        return []

    def peer(self) -> Peer:
        """Itself."""
        return Peer("in this process")

    def read(self) -> Exchange:
        """The outputs of its last scan."""
        begun = self.now_ns()
        self._pass()
        return Exchange((Part(begun, self.now_ns(), dict(self._outputs)),))

    def shown(self) -> Mapping[str, Value]:
        """Everything as it stands in it now."""
        return {**self._inputs, **self._outputs}

    def write(self, values: Mapping[str, Value]) -> Exchange:
        """Inputs, for the next scan."""
        begun = self.now_ns()
        self._inputs.update(values)
        self._pass()
        return Exchange((Part(begun, self.now_ns(), dict(values)),))

    def close(self) -> None:
        """Nothing to do."""

    def power(self, link: Link) -> Link:
        """Off and on again: its next scan is its first; a setting that is not retained is lost."""
        retained = {row.name for row in self.soft.network.inputs if row.retained}
        self._inputs |= {name: first for name, first in self._panel.items() if name not in retained}
        self.soft.restart()
        self._outputs = self.soft.shown()
        self._next = self._now + self._random.randint(0, self._between[1])
        return link

    def _pass(self) -> None:
        self.wait_until((self._now + self._random.randint(0, self._link)) * MS)
