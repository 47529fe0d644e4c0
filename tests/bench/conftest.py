"""One soft controller that serves, for all tests that talk to one: to start it takes seconds."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.bench.made import plan_of, served, wires_of


@pytest.fixture(scope="session")
def addresses() -> Iterator[dict[str, str]]:
    """Where it serves, by protocol."""
    plan = plan_of("wiring")
    with served(plan, wires_of(plan)) as (opcua, modbus):
        yield {"opcua": opcua, "modbus": modbus}
