"""What is tried follows the clock, never catches up, and stands still where nobody looks."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from typing import Any

import pytest
from attrs import define, field

from steadfall.source import AskError
from steadfall.web import live as lives
from steadfall.web.live import LEFT_S, MOST_S, SAMPLES, Live
from steadfall.web.trial import asked, begun, kept, ordered

SHEET = {"title": "", "end_ms": None, "scan_ms": 20}


@define
class Made:
    """A clock and a process in one: a look at the clock takes a hundredth of a second, work as long as it is
    told.
    """

    takes_s: float = 0.0
    now_s: float = 100.0
    now_ms: int = 20
    most_ms: int = 0  # in one go
    over: str = ""
    does: list[Any] = field(factory=list)

    def clock(self) -> float:
        self.now_s += 0.01
        return self.now_s

    async def do(self, work: Callable[..., Any], *given: Any, told: Any = None) -> Any:
        assert told is None or work is begun
        await asyncio.sleep(0)
        self.now_s += self.takes_s
        if work is begun:
            return SHEET, self._news()
        if work is asked:
            return ((0, "because", 3),)
        if work is kept:
            return f"{given[0]}{given[2]}"
        assert work is ordered
        for way, *what in given[0]:
            self.does.append((way, *what))
            if way == "until":
                self.most_ms = max(self.most_ms, what[0] - self.now_ms)
                self.now_ms = max(self.now_ms, -(-what[0] // 20) * 20)
            if way == "back":
                self.now_ms = what[0]
        return self._news()

    def _news(self) -> dict[str, Any]:
        news = {"now_ms": self.now_ms, "over": self.over}
        return {**news, "changes": [[self.now_ms, 0, 1]], "samples": [[self.now_ms, [], [], []]]}

    async def stop(self) -> None: ...

    def ask(self) -> None:
        """Nothing is asked here."""

    def end(self) -> None: ...


def run(story: Callable[[Made, Live], Coroutine[Any, Any, None]], made: Made | None = None) -> None:
    process = made or Made()

    async def whole() -> None:
        live = Live(process, process.clock)
        await live.begin("", "", "")
        await story(process, live)

    asyncio.run(whole())


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody waits."""
    monkeypatch.setattr(lives, "TICK_S", 0)


async def looked_at(live: Live, times: int) -> None:
    """A tab asks so often."""
    for _ in range(times):
        await asyncio.sleep(0)
        live.news(live.number, 0, 0)


@pytest.mark.parametrize("speed", [1, 10])
def test_what_is_quick_enough_keeps_to_the_clock(speed: int) -> None:
    async def story(made: Made, live: Live) -> None:
        live.speed = speed
        begun_s, begun_ms = made.now_s, made.now_ms
        live.start()
        live.start()  # it goes already
        await looked_at(live, 200)
        passed = 1000 * speed * (made.now_s - begun_s)
        assert abs(made.now_ms - begun_ms - passed) < 100 * speed  # a few looks at the clock
        assert live.pace == pytest.approx(speed, rel=0.01)

    run(story)


def test_what_takes_too_long_is_left_out_and_said() -> None:
    async def story(made: Made, live: Live) -> None:
        live.speed = 2
        live.start()
        await looked_at(live, 400)
        assert made.most_ms <= 2000 * MOST_S
        assert live.news(0, 0, 0)["pace"] < 1

    run(story, Made(takes_s=1.0))


def test_where_nobody_looks_any_more_it_stands_still() -> None:
    async def story(made: Made, live: Live) -> None:
        live.start()
        begun_s = made.now_s
        while live.goes:
            await asyncio.sleep(0)
        assert LEFT_S <= made.now_s - begun_s < LEFT_S + 1

    run(story)


def test_a_pause_and_what_is_over_end_it() -> None:
    async def story(made: Made, live: Live) -> None:
        live.start()
        await looked_at(live, 20)
        live.pause()
        live.start()  # before the other has noticed
        await looked_at(live, 50)
        live.pause()
        await looked_at(live, 50)
        stands = made.now_ms
        await looked_at(live, 20)
        assert made.now_ms == stands
        made.over = "the plant left what can be computed"
        live.start()
        await looked_at(live, 50)
        assert not live.goes

    run(story)


def test_a_tab_is_handed_what_it_has_not_drawn() -> None:
    async def story(made: Made, live: Live) -> None:
        all_of_it = live.news(0, 0, 0)
        assert all_of_it["sheet"] == SHEET
        assert all_of_it["changes"] == [[20, 0, 1]]
        await live.step()
        news = live.news(live.number, all_of_it["changes_to"], all_of_it["samples_to"])
        assert (news["sheet"], len(news["changes"]), len(news["samples"])) == (None, 1, 1)
        live.samples *= SAMPLES
        assert len(live.news(0, 0, 0)["samples"]) == SAMPLES
        before = live.number
        await live.back(20)
        assert live.number == before + 1
        assert live.news(before, 7, 7)["changes"] == [[20, 0, 1]]
        assert made.does == [("step",), ("back", 20)]

    run(story)


def test_to_ask_why_stands_still_and_to_keep_does_not() -> None:
    async def story(_made: Made, live: Live) -> None:
        live.start()
        assert await live.kept("a ", "b", "c") == "a c"
        assert live.goes
        assert await live.why("upper.mist", 20) == ((0, "because", 3),)
        assert not live.goes

    run(story)


def test_without_a_trial_nothing_goes() -> None:
    async def story(_made: Made, live: Live) -> None:
        live.forget()
        with pytest.raises(AskError, match="begin a trial"):
            live.start()
        assert live.as_json()["good"] is False

    run(story)
