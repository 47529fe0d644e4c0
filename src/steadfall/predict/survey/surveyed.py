"""The door to bands: a prediction with its bands, where the extra for them is installed."""

from __future__ import annotations

import importlib

from attrs import evolve

from steadfall.predict.result import Prediction
from steadfall.predict.spread import Survey
from steadfall.progress import SILENT, Progress
from steadfall.source import OutsideError


def surveyed(result: Prediction, survey: Survey, progress: Progress = SILENT) -> Prediction:
    """The prediction with what many runs round it say.

    Raises OutsideError when scipy is not installed.
    """
    try:
        module = importlib.import_module("steadfall.predict.survey.bands")
    except ImportError as error:
        raise OutsideError("bands need scipy; install it with: pip install 'steadfall[bands]'") from error
    return evolve(result, bands=module.bands(result, survey, progress))
