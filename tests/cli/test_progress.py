"""The progress bar as it is seen in a terminal."""

from __future__ import annotations

import io

from rich.console import Console

from steadfall.cli.common.progress import Bar, how_far


def test_how_far_it_is() -> None:
    assert how_far(12, 104) == "12/104"
    assert how_far(0.404, 1.0) == "40 %"
    assert how_far(0, None) == ""


def test_nothing_is_counted_before_it_is_known_of_how_much() -> None:
    seen = io.StringIO()
    with Bar(console=Console(file=seen, force_terminal=True, width=100)) as bar:
        pass
    assert "getting ready" in seen.getvalue()
    assert "None" not in seen.getvalue()
    assert "0/" not in seen.getvalue()
    with Bar(console=Console(file=seen, force_terminal=True, width=100)) as bar:
        bar.tell(3, 7, "upper.mist")
    assert "3/7" in seen.getvalue()
