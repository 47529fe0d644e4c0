from __future__ import annotations

import pytest

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, predict
from tests.examples import EXAMPLES


@pytest.fixture(scope="session")
def press() -> Plan:
    return read_file(EXAMPLES["press"])


@pytest.fixture(scope="session")
def batch(press: Plan) -> Prediction:
    return predict(press, None, coarse(press))
