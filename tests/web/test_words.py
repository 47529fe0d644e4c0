"""Every word of the page can be said in another language, which is a file."""

from __future__ import annotations

import re
import struct
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

from steadfall.web.pages import LOOK
from steadfall.web.spoken import SPOKEN
from tests.web.catalogue import CATALOGUE, catalogue

STORY = """
import asyncio, gettext, sys
from pathlib import Path
folder, made = sys.argv[1], gettext.translation
gettext.translation = lambda domain, _folder, **_: made(domain, folder, ["xx"])
from nicegui.testing.user_simulation import user_simulation
from steadfall.web.pages import lay
from steadfall.web.session import Recent, Session
async def story():
    async with user_simulation() as person:
        lay(Session(Path(folder), recent=Recent(None)))
        for path in ("/", "/look/words.js"):
            sys.stdout.write((await person.http_client.get(path)).text)
asyncio.run(story())
"""


def test_the_catalogue_has_every_word() -> None:
    assert CATALOGUE.read_text(encoding="utf-8") == catalogue()
    assert catalogue().count("msgid ") > 50


def test_scripts_say_what_the_table_has() -> None:
    every = (files(package) / path for package, path in LOOK.values() if path.endswith(".js"))
    texts = [one.read_text(encoding="utf-8") for one in every]
    said = {words for text in texts for words in re.findall(r'say\("([^"]+)"\)', text)}
    assert len(said) >= 8
    assert said <= set(SPOKEN)
    assert all(any(f'"{words}"' in text for text in texts) for words in SPOKEN)


def test_a_language_is_a_file_and_what_it_lacks_stays_english(tmp_path: Path) -> None:
    """Half of an invented language: the page has its words, and the others as they are."""
    place = tmp_path / "xx" / "LC_MESSAGES"
    place.mkdir(parents=True)
    half = {"Begin with a plan": "Anfa uno plano", "The valves": "Ila ventiloj", "nearer": "pli proksimo"}
    words = {"": "Content-Type: text/plain; charset=UTF-8", **half}
    (place / "steadfall.mo").write_bytes(compiled(words))
    ran = subprocess.run([sys.executable, "-c", STORY, str(tmp_path)], capture_output=True, check=True)
    page = ran.stdout.decode()
    for english, other in half.items():
        assert other in page
        assert f'"{english}"' not in page.replace(f'"{english}": "{other}"', "")
    assert "In this folder" in page
    assert '"further": "further"' in page


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
