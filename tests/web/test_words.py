"""Every word of the page can be said in another language, which is a file."""

from __future__ import annotations

import gettext
import struct
from pathlib import Path

from tests.web.catalogue import CATALOGUE, catalogue


def test_the_catalogue_has_every_word() -> None:
    assert CATALOGUE.read_text(encoding="utf-8") == catalogue()
    assert catalogue().count("msgid ") > 50


def test_a_language_is_a_file(tmp_path: Path) -> None:
    place = tmp_path / "de" / "LC_MESSAGES"
    place.mkdir(parents=True)
    words = {"": "Content-Type: text/plain; charset=UTF-8", "Save": "Sichern"}
    (place / "steadfall.mo").write_bytes(compiled(words))
    said = gettext.translation("steadfall", tmp_path, ["de"]).gettext
    assert said("Save") == "Sichern"
    assert said("Stop") == "Stop"


def compiled(words: dict[str, str]) -> bytes:
    """A language as gettext reads it: two tables of lengths and places, then the texts."""
    rows = sorted((one.encode(), other.encode()) for one, other in words.items())
    count, place = len(rows), 28 + 16 * len(rows)
    tables, texts = [b"", b""], b""
    for column in (0, 1):
        for row in rows:
            tables[column] += struct.pack("<II", len(row[column]), place + len(texts))
            texts += row[column] + b"\0"
    head = struct.pack("<IIIIIII", 0x950412DE, 0, count, 28, 28 + 8 * count, 0, 0)
    return head + tables[0] + tables[1] + texts
