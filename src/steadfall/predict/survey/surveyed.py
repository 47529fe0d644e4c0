"""The door to bands: a prediction with its bands, where the extra for them is installed."""

from __future__ import annotations

from attrs import evolve

from steadfall.extras import opened
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.outcome.spread import Survey
from steadfall.progress import SILENT, Progress


def surveyed(result: Prediction, survey: Survey, progress: Progress = SILENT) -> Prediction:
    """The prediction with what many runs round it say.

    Raises OutsideError when scipy is not installed.
    """
    bands = opened("steadfall.predict.survey.bands").bands(result, survey, progress)
    return evolve(result, bands=bands)
