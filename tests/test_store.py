"""What is kept in the cache folder: found again under its key, never in the way."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from steadfall.store import Store, users_store

WRITER = """
import sys
from pathlib import Path
from steadfall.store import Store
store = Store(Path(sys.argv[1]))
for number in range(200):
    store.put({"all": [sys.argv[2]] * 500}, "shared")
    assert len(set(store.get("shared")["all"])) == 1
"""


def test_what_is_kept_is_found_under_its_whole_key(tmp_path: Path) -> None:
    store = Store(tmp_path / "new" / "folder")
    store.put({"a": [1, 2.5, "three"]}, "question", (1, 2))
    assert store.get("question", (1, 2)) == {"a": [1, 2.5, "three"]}
    assert store.get("question", (1, 3)) is None
    assert store.get("question") is None


@pytest.mark.parametrize("content", [b"", b'{"a": [1', b"\xff\xfe", b"[" * 100_000])
def test_a_broken_file_is_as_if_it_were_not_there(tmp_path: Path, content: bytes) -> None:
    store = Store(tmp_path)
    store.put("it", "key")
    (kept,) = tmp_path.iterdir()
    kept.write_bytes(content)
    assert store.get("key") is None
    store.put("again", "key")
    assert store.get("key") == "again"


def test_a_folder_that_cannot_be_written_keeps_nothing(tmp_path: Path) -> None:
    (tmp_path / "a file").write_text("in the way", encoding="utf-8")
    store = Store(tmp_path / "a file")
    store.put("it", "key")
    assert store.get("key") is None


def test_what_was_not_used_for_longest_makes_room(tmp_path: Path) -> None:
    size = len(json.dumps("x" * 100))
    store = Store(tmp_path, most=4 * size)
    for number in range(4):
        store.put("x" * 100, number)
    for place, path in enumerate(sorted(tmp_path.iterdir())):
        os.utime(path, (place, place))
    store.get(0)  # used just now
    store.put("x" * 100, 4)
    assert store.get(0)
    assert store.get(4)
    assert len(list(tmp_path.iterdir())) == 3


def test_two_processes_write_and_read_at_once(tmp_path: Path) -> None:
    """Each sees a whole file at any time, its own or the other's, and nothing half-written is left."""
    both = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(tmp_path), name], stderr=subprocess.PIPE)
        for name in ("one", "two")
    ]
    assert [(process.communicate()[1], process.returncode) for process in both] == [(b"", 0)] * 2
    assert len(list(tmp_path.iterdir())) == 1


def test_it_lies_in_the_users_cache_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("STEADFALL_CACHE", str(tmp_path))
    assert users_store("proofs") == Store(tmp_path / "proofs")
