"""The one door to jinja2: a template of this folder, filled."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import jinja2


def rendered(
    folder: Path, name: str, filters: Mapping[str, Callable[..., Any]], content: Mapping[str, Any]
) -> str:
    """A page as text; what is not in the content is an error, and what is in it cannot be taken for HTML."""
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(folder),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    environment.filters.update(filters)
    return environment.get_template(name).render(content)
