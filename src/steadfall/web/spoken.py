"""Words that scripts of the page say, so that they go through gettext like all others.

Rule of this file: a table; a script says `say("...")`, and finds its words here.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from steadfall.words import _

SPOKEN: Mapping[str, str] = {
    "open": _("open"),
    "shut": _("shut"),
    "on": _("on"),
    "off": _("off"),
    "to": _("to"),
    "at": _("at"),
    "before": _("before"),
    "go to": _("go to"),
    "nearer": _("nearer"),
    "further": _("further"),
    "earlier": _("earlier"),
    "later": _("later"),
    "whole": _("whole"),
    "the whole figure": _("the whole figure"),
    "unpin": _("unpin"),
    "remove the pins": _("remove the pins"),
    "Point to read, click to pin one moment and then another, drag to look closer.": _(
        "Point to read, click to pin one moment and then another, drag to look closer."
    ),
    "Keys: arrows, + - 0, Enter pins the middle, Esc.": _("Keys: arrows, + - 0, Enter pins the middle, Esc."),
    "The thin blue lines are the run before.": _("The thin blue lines are the run before."),
    "without it": _("without it"),
    "must be given": _("must be given"),
    "this place takes": _("this place takes"),
}


def script() -> str:
    """The table as a script, which every page loads first."""
    return f"globalThis.steadfallWords = {json.dumps(dict(SPOKEN), ensure_ascii=True)};\n"
