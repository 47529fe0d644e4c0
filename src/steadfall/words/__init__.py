"""Words that a person at the page reads, by gettext: English in the code, another language as a file here.

A language is `LANGUAGE/LC_MESSAGES/steadfall.mo` in this folder, made from `steadfall.pot`; which one, say
the usual variables LANGUAGE, LC_ALL, LC_MESSAGES and LANG. What is put into a sentence stands in it by name,
so that another language may have it elsewhere: `_("there is no input '{name}'").format(name=name)`.
"""

from __future__ import annotations

import gettext
from pathlib import Path

FOLDER = Path(__file__).parent
_ = gettext.translation("steadfall", FOLDER, fallback=True).gettext
said = _  # of a word that stands in a table of another room: the catalogue gathers it there
