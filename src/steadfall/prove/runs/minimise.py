"""A run made shorter and plainer, as long as it still comes to the same.

Rule of this file: what is left out is tried by running it; it is kept out only where the goal is still
reached, and no later than a scan or a thousandth. What is left is short for what it was made from; that there
is no shorter one is not said. How much is tried is counted in scans, so that the same run is always shortened
to the same.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import define, evolve, frozen

from steadfall.prove.runs.stimuli import Course, Driver, run

SCANS = 400_000  # that are run at most; about half a second
LATER = 1000  # one part in so many of the time is given for scans that are farther apart


@frozen(eq=False)
class Way:
    """A run, the scan in which it reaches its goal, and whose run it is."""

    of: Driver
    course: Course
    last: int

    @property
    def at_ms(self) -> int:
        """When that scan is; the first is at 0."""
        return sum(self.course.dts[1 : self.last + 1])

    def length(self, longest_ms: int) -> tuple[int, int, int]:
        """What is to become less: time, to the longest scan; scans; changes of inputs."""
        return -(-self.at_ms // longest_ms), self.last, len(self.course.moves)


def shortened(goal: str, way: Way, scans: int = SCANS) -> Way:
    """The run without the scans and the changes of inputs that it does not need, ordinary values at its
    start.
    """
    work = _Work(way.of, goal, _cut(way), scans)
    work.rarer_scans()
    work.fewer_moves()
    work.fewer_scans()
    work.plainer_start()
    return work.best


def _cut(way: Way) -> Way:
    """The run up to its goal."""
    moves = tuple(move for move in way.course.moves if move[0] <= way.last)
    return Way(way.of, evolve(way.course, dts=way.course.dts[: way.last + 1], moves=moves), way.last)


@define(eq=False)
class _Work:
    of: Driver
    goal: str
    best: Way
    left: int  # scans that may still be run

    def better(self, course: Course, *, as_good: bool = False, later: int = 0) -> bool:
        """Whether this run does better, or as well, or with less though so much later; it is kept then."""
        self.left -= len(course.dts)
        last = run(self.of, course, [self.goal])[0] if self.left >= 0 else -1
        if last < 0:
            return False
        found = _cut(Way(self.of, course, last))
        longest = self.of.longest_ms
        now, before = found.length(longest), self.best.length(longest)
        less = found.at_ms <= self.best.at_ms + later and found.last < self.best.last
        better = now <= before if as_good else now < before or (later > 0 and less)
        self.best = found if better else self.best
        return better

    def rarer_scans(self) -> None:
        """Scans as far apart as they may be, with the same changes at the same time."""
        now, longest, course, places = 0, self.of.longest_ms, self.best.course, list[int]()
        for dt in (0, *course.dts[1:]):
            now += dt
            places.append(-(-now // longest))
        moves = tuple((places[at], name, value) for at, name, value in course.moves)
        dts = (longest,) * (places[-1] + 1 + self.best.at_ms // LATER // longest)
        self.better(evolve(course, dts=dts, moves=moves), later=self.best.at_ms // LATER)

    def fewer_scans(self) -> None:
        """Leaves out stretches of scans, long ones first."""
        count = len(self.best.course.dts) // 2
        while count and self.left > 0:
            place = 0
            while place < len(self.best.course.dts) and self.left > 0:
                if not self.better(_without(self.best.course, place, count)):
                    place += count
            count //= 2

    def fewer_moves(self) -> None:
        """Leaves out what an input does after the first scan, all of it or a part."""
        for name in sorted({name for at, name, _ in self.best.course.moves if at}):
            later = [
                place for place, move in enumerate(self.best.course.moves) if move[0] and move[1] == name
            ]
            self._less(later)

    def _less(self, places: list[int]) -> None:
        """Leaves out these moves, or halves of them."""
        if not places or self.left <= 0:
            return
        moves, gone = self.best.course.moves, set(places)
        if self.better(
            evolve(self.best.course, moves=tuple(m for n, m in enumerate(moves) if n not in gone))
        ):
            return
        if len(places) > 1:  # the later half first: its places stay right for the other
            half = len(places) // 2
            self._less(places[half:])
            self._less(places[:half])

    def plainer_start(self) -> None:
        """Lets switches begin as they usually are."""
        for course in self._usual():
            self.better(course, as_good=True)

    def _usual(self) -> Iterator[Course]:
        for place, (at, name, value) in enumerate(self.best.course.moves):
            usual = self.of.favoured.get(name, 0.0)
            if not at and name not in self.of.choices and value != usual:
                moves = self.best.course.moves
                yield evolve(self.best.course, moves=(*moves[:place], (at, name, usual), *moves[place + 1 :]))


def _without(course: Course, place: int, count: int) -> Course:
    """A run without some scans; what changes in them changes after them."""
    moves = tuple(
        (at if at < place else max(place, at - count), name, value) for at, name, value in course.moves
    )
    return evolve(course, dts=course.dts[:place] + course.dts[place + count :], moves=moves)
