"""Words of the page, by gettext: English in the code, another language as a file beside it.

A language is `words/LANGUAGE/LC_MESSAGES/steadfall.mo`, made from `words/steadfall.pot`; which one, say the
usual variables LANGUAGE, LC_ALL, LC_MESSAGES and LANG.
"""

from __future__ import annotations

import gettext
from pathlib import Path

FOLDER = Path(__file__).parent / "words"
_ = gettext.translation("steadfall", FOLDER, fallback=True).gettext
said = _  # of a word that stands in a table of another room: the catalogue gathers it there
