"""What can be the name of a plan or its folder: of no other place, and of no device."""

from __future__ import annotations

# Names of devices on Windows, with any ending, in any case (its rules for naming files; from memory).
_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in "123456789¹²³")}
_BARRED = frozenset("/\\:\0")  # they lead elsewhere


def is_file_name(name: str) -> bool:
    """Whether a plain name can be that of a file or folder, here and on a system with such devices."""
    stem = name.partition(".")[0].strip().lower()
    return bool(
        name.isprintable()
        and name.rstrip(" .") == name != ""
        and not _BARRED & set(name)
        and stem not in _DEVICES
    )
