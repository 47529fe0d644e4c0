from __future__ import annotations

import pytest

from steadfall.predict.outcome.result import Prediction
from steadfall.report.page.prediction import page
from tests.report.made import made_prediction


@pytest.fixture(scope="session")
def prediction() -> Prediction:
    return made_prediction()


@pytest.fixture(scope="session")
def report(prediction: Prediction) -> str:
    return page(prediction)
