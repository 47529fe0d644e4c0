"""What a controller in software retains, in a file: it begins with that when its process is begun anew."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from steadfall.app.given.document import json_text
from steadfall.app.given.files import write
from steadfall.logic.network import Network
from steadfall.logic.nodes import Type, Value
from steadfall.source import OutsideError

KINDS: Mapping[Type, tuple[type, ...]] = {
    Type.BOOL: (bool,), Type.INT: (int,), Type.TIME: (int,), Type.REAL: (float, int),
}  # fmt: skip
NONE_SUCH = "{path} is no file of what a controller has kept: {why}"


def retained(network: Network) -> dict[str, Type]:
    """What a controller keeps without power: counters, and what is set on its panel."""
    set_there = {row.name: row.type for row in network.inputs if row.retained}
    return set_there | {row.name: row.type for row in network.assignments if row.retained}


def write_kept(path: Path, values: Mapping[str, Value]) -> None:
    """Write it, whole or not at all. Raises OutsideError."""
    write({path.name: json_text({"kept": dict(values)})}, path.parent)


def read_kept(path: Path, network: Network) -> dict[str, Value]:
    """What was kept there; nothing where there is no file yet. Raises OutsideError where it does not fit."""
    try:
        kept: Any = json.loads(path.read_text(encoding="utf-8"))["kept"]
        values = dict(kept.items())
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise OutsideError(f"cannot read {path}: {error.strerror or error}") from error
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise OutsideError(NONE_SUCH.format(path=path, why="it cannot be read as one")) from error
    types = retained(network)
    for name, value in values.items():
        if name not in types:
            raise OutsideError(NONE_SUCH.format(path=path, why=f"this one does not retain '{name}'"))
        if type(value) not in KINDS[types[name]]:
            raise OutsideError(NONE_SUCH.format(path=path, why=f"'{name}' cannot be {value!r}"))
    return values
