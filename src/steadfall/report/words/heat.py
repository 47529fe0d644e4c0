"""Where the heat that the fluid took up went and came from: the same in the summary and in the report."""

from __future__ import annotations

from steadfall.predict.outcome.result import CircuitUse, Prediction
from steadfall.quantities import DRAINED
from steadfall.report.words.names import spoken


def heat_head(prediction: Prediction) -> tuple[str, ...]:
    """The head of these rows."""
    heat = f"Heat {prediction.units.of(DRAINED).symbol}"
    return heat, "into water", "into air, steam", "from host", "from wall"


def heat_rows(prediction: Prediction) -> tuple[tuple[str, ...], ...]:
    """Circuit by circuit and in all: into liquid, into gas; through the wall, out of the wall itself."""
    uses, heat = prediction.circuits, prediction.units.of(DRAINED)
    rows = [(spoken(use.circuit), _parts(use)) for use in uses]
    if len(uses) > 1:
        columns = zip(*(parts for _, parts in rows), strict=True)
        rows.append(("in all", tuple(sum(column) for column in columns)))
    return tuple((name, *(heat.number(part) for part in parts)) for name, parts in rows)


def _parts(use: CircuitUse) -> tuple[float, ...]:
    return use.heat_to_water, use.heat_to_gas, use.heat_from_host, use.heat_from_wall
