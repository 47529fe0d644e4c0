"""What finer grids say, in words: the figure beside each that hangs on the grid, and which they were."""

from __future__ import annotations

from collections.abc import Callable

from steadfall.predict.outcome.result import Prediction
from steadfall.predict.outcome.verdict import Finer, FinerGrid, Verdict

DIFFERS_FROM = 0.02  # of the figure as it is read; less is not worth a reader's eye
HEAD = "finer"


def finer_words(
    own: float | None,
    finer: Finer | None,
    verdict: Verdict,
    shown: Callable[[float], float],
    text: Callable[[float | None], str],
) -> str:
    """The finer grid's figure where it differs, or where the verdict hangs on it; else nothing.

    `shown` gives a figure in the unit in which it is read, `text` its words.
    """
    if finer is None or own == finer.value:
        return ""
    if verdict is not Verdict.NOT_RESOLVED and own is not None and finer.value is not None:
        a, b = shown(own), shown(finer.value)
        if abs(a - b) <= DIFFERS_FROM * max(abs(a), abs(b)):
            return ""
    return text(finer.value)


def grid_words(prediction: Prediction) -> str:
    """Which finer grids were run, and what the figures from them mean; nothing where there are none."""
    if not prediction.finer:
        return ""
    ran = " and ".join(_grid(prediction, grid) for grid in prediction.finer)
    stopped = [
        f"With {_grid(prediction, grid)} the run did not come to its end: {grid.ended}."
        for grid in prediction.finer
        if grid.complete != prediction.complete
    ]
    words = (
        f"Finer: the same with {ran}; of the two the figure that is further off, where it differs by more "
        f"than {100 * DIFFERS_FROM:.0f} %. What they put on the other side of its bound, or move by more "
        "than is left to it, is not resolved."
    )
    return " ".join([words, *stopped])


def _grid(prediction: Prediction, grid: FinerGrid) -> str:
    if grid.cells != prediction.settings.cells:
        return f"{grid.cells} cells"
    return f"steps of {1000 * grid.step:.3g} ms"
