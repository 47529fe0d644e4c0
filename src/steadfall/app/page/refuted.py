"""A requirement that is broken, as a proof hands it to whoever plays it; apart, for it needs no prover."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from attrs import frozen


@frozen
class Refuted:
    """With which fault ("": none), and how: inputs and times, step by step, as docs/json.md has them."""

    name: str
    sentence: str
    fault: str
    steps: Sequence[Mapping[str, Any]]
