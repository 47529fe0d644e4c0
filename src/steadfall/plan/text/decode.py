"""The letters of a file: UTF-8, or the place of the first byte that is none."""

from __future__ import annotations

from steadfall.source import Mark, PlanError, Problem


def decoded(data: bytes, name: str) -> str:
    """The text of a file's bytes; raises PlanError at the first byte that is not UTF-8."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        start = error.start + (len(data) - len(error.object))  # a mark at the head is not counted there
        line, column = data.count(b"\n", 0, start) + 1, start - data.rfind(b"\n", 0, start)
        read = f"byte {start} (0x{data[start]:02X}) is not UTF-8"
        raise PlanError(
            [Problem(Mark(name, line, column), "not-utf8", "", read, "text saved as UTF-8")]
        ) from None
