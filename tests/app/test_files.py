"""Files are there whole or not at all, and a folder is tried before the work."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from steadfall.app.given.files import drafted, ready, write
from steadfall.source import OutsideError


def test_nothing_is_left_of_what_was_not_finished(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("old", encoding="utf-8")
    with pytest.raises(KeyboardInterrupt), drafted(tmp_path) as draft:  # noqa: PT012
        (draft / "a").write_text("new", encoding="utf-8")
        raise KeyboardInterrupt
    assert [path.name for path in tmp_path.iterdir()] == ["a"]
    assert (tmp_path / "a").read_text(encoding="utf-8") == "old"


def test_files_are_written_by_their_names(tmp_path: Path) -> None:
    folder = tmp_path / "b" / "c"
    assert write({"x": "ü", "y": b"\x00"}, folder) == (folder / "x", folder / "y")
    assert sorted(path.name for path in folder.iterdir()) == ["x", "y"]
    assert (folder / "x").read_bytes() == "ü".encode()


def test_a_folder_is_tried_and_not_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ready(tmp_path / "not" / "yet")
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "file").write_text("", encoding="ascii")
    with pytest.raises(OutsideError, match="is a file"):
        ready(tmp_path / "file" / "x")
    monkeypatch.setitem(sys.modules, "pyarrow", None)  # as where it is not installed
    with pytest.raises(OutsideError, match=r"needs pyarrow.*\[frame\]"):
        ready(tmp_path, ["pyarrow"])
