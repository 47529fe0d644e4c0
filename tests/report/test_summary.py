"""The summary is read by people, so its text is pinned whole: `python -m tests.report.test_summary` renews
it.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from attrs import evolve

from steadfall.predict.outcome.result import Load, Moment, Prediction, Strain
from steadfall.predict.outcome.spread import Bands, Odds
from steadfall.predict.outcome.verdict import Finer, FinerGrid, Verdict
from steadfall.report.text.prediction import summary
from steadfall.report.words.items import limit_items
from steadfall.report.words.verdict import SIGNS, verdict
from tests.report.made import made_prediction, unkept

GOLDEN = Path(__file__).parent / "golden"


def cases() -> dict[str, str]:
    made = made_prediction()
    return {"summary.txt": summary(made), "summary_open_books.txt": summary(unkept(made), 80)}


@pytest.mark.parametrize("name", ["summary.txt", "summary_open_books.txt"])
def test_text(name: str) -> None:
    assert cases()[name] + "\n" == (GOLDEN / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("width", [60, 66, 80, 100, 140])
def test_it_fits(width: int, prediction: Prediction) -> None:
    long = evolve(prediction, scenario="the air supply is lost for a minute " * 4)
    assert max(len(line) for line in summary(long, width).splitlines()) <= width


def test_no_figure_is_lost_where_it_is_narrow(prediction: Prediction) -> None:
    """Tables that have no room go on below; whatever is said in a wide terminal is said in a narrow one."""
    strains = tuple(
        Strain(about, what, 4.35e5 + 1e4 * n, 4_687_000 + n, 1.7e6, verdict=Verdict.KEPT, how="")
        for n, (about, what) in enumerate(("upper_platen.flood", one) for one in Load)
    )
    long = evolve(prediction, strains=strains)
    wide, narrow = summary(long, 140), summary(long, 60)
    assert max(len(line) for line in narrow.splitlines()) <= 60
    assert sorted(set(re.findall(r"[\d.:]+", wide))) == sorted(set(re.findall(r"[\d.:]+", narrow)))


def test_many_stage_changes_are_cut_short(prediction: Prediction) -> None:
    many = tuple(Moment(second * 1000, "upper", "dosing") for second in range(500))
    text = summary(evolve(prediction, moments=many))
    assert "and 488 more" in text
    assert len(text.splitlines()) < 60


def test_a_limit_that_never_applied_says_so(prediction: Prediction) -> None:
    never = evolve(prediction.limits[0], worst=None, time_ms=None)
    (item, *_) = limit_items(evolve(prediction, limits=(never, *prediction.limits[1:])))
    assert (item.worst, item.when, item.verdict) == ("never applied", "", "kept")


def test_nothing_asked_is_not_good(prediction: Prediction) -> None:
    made = evolve(prediction, limits=(), goals=())
    assert (made.good, made.verdict) == (False, Verdict.NOT_ASKED)
    assert "NOTHING ASKED. The plan sets no limit and no goal." in summary(made)


@pytest.mark.parametrize(("kept", "sign"), [(94, "NOT SURE"), (95, "GOOD")])
def test_the_headline_follows_the_odds(prediction: Prediction, kept: int, sign: str) -> None:
    odds = Odds("all", kept, 100, kept / 100 - 0.05, kept / 100 + 0.03)
    bands = Bands(100, 1, 0, odds, odds, (), (), {}, (), ())
    good = evolve(prediction, bands=bands, goals=prediction.goals[:1])
    assert (good.good, good.verdict.value) == ((True, "kept") if sign == "GOOD" else (False, "not sure"))
    words = [*verdict(good).split(". ")]
    assert f"All of it is kept in {kept} % ({kept - 5} to {kept + 3} %) of 100 runs" in words[-1]
    assert SIGNS[good.verdict] == sign


def test_what_hangs_on_the_grid_is_told_everywhere(prediction: Prediction) -> None:
    """Limits, goals, ratings, the whole: beside each the finer figure, and one word."""
    grid = FinerGrid(80, 0.02, complete=True, ended="")
    shock = evolve(prediction.limits[1], verdict=Verdict.NOT_RESOLVED, finer=Finer(3.21, grid))
    near = evolve(prediction.limits[0], finer=Finer((prediction.limits[0].worst or 0.0) * 1.01, grid))
    goal = evolve(prediction.goals[0], verdict=Verdict.NOT_RESOLVED, finer=Finer(None, grid))
    strain = Strain("upper", Load.STRESS, 1.2e8, 3000, 1.6e8, Verdict.NOT_RESOLVED, "", Finer(1.7e8, grid))
    made = evolve(prediction, limits=(near, shock), goals=(goal,), strains=(strain,), finer=(grid,))
    text = " ".join(summary(made, 140).split())
    assert "NOT RESOLVED. No limit is broken." in text
    assert "What hangs on the grid: limit 2, goal 3, thermal stress in upper." in text
    assert "2.41 K/s 0:05 3.21 K/s NOT RESOLVED, plan line 7" in text
    assert "not reached NOT RESOLVED, plan line 10" in text
    assert "120.0 MPa 0:03 170.0 MPa 160.0 MPa NOT RESOLVED" in text
    assert "the same with 80 cells" in text
    assert limit_items(made)[0].finer == ""  # by 1 % only
    assert "3.21 K/s on a finer grid, NOT RESOLVED" in limit_items(made)[1].words
    assert "finer" not in summary(prediction, 140)
    narrow = summary(made, 60)
    assert max(map(len, narrow.splitlines())) <= 60
    assert "finer 3.21 K/s" in narrow


def test_a_goal_never_reached_gives_its_nearest(prediction: Prediction) -> None:
    missed = evolve(
        prediction.goals[0], reached_ms=None, nearest=350.15, nearest_ms=2_400_000, verdict=Verdict.BROKEN
    )
    text = summary(evolve(prediction, goals=(missed,)))
    assert "NOT REACHED" in text
    assert "77.0 °C" in text
    assert "1 of 1 goals is not reached in time" in text


if __name__ == "__main__":
    for name, text in cases().items():
        (GOLDEN / name).write_text(text + "\n", encoding="utf-8")
