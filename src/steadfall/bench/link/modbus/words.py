"""Values as 16-bit words and back (Modbus: the high byte of a word first; the order of words is a setting).

>>> words_of(1.5, Wire("t", Type.REAL, True, form=Form.FLOAT32), low_first=False)
[16320, 0]
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence

from steadfall.bench.link.wires import Form, Wire
from steadfall.logic.nodes import Type, Value

_PACKED: Mapping[Form, str] = {
    Form.BIT: ">H", Form.INT16: ">h", Form.UINT16: ">H", Form.INT32: ">i", Form.UINT32: ">I",
    Form.FLOAT32: ">f", Form.FLOAT64: ">d",
}  # fmt: skip
REAL_FORMS = (Form.FLOAT32, Form.FLOAT64)


class UnfitError(ValueError):
    """A value that does not go into its registers."""


def words_of(value: Value, wire: Wire, *, low_first: bool) -> list[int]:
    """The registers of a value."""
    shown = value * wire.scale if wire.type is not Type.BOOL else int(value)
    try:
        data = struct.pack(_PACKED[wire.form], shown if wire.form in REAL_FORMS else round(shown))
    except (struct.error, OverflowError, ValueError) as error:
        raise UnfitError(f"'{wire.signal}': {value} does not fit into {wire.form}") from error
    words = [int.from_bytes(data[at : at + 2], "big") for at in range(0, len(data), 2)]
    return words[::-1] if low_first else words


def value_of(words: Sequence[int], wire: Wire, *, low_first: bool) -> Value:
    """The value in some registers."""
    ordered = words[::-1] if low_first else words
    data = b"".join(word.to_bytes(2, "big") for word in ordered)
    (shown,) = struct.unpack(_PACKED[wire.form], data)
    if wire.type is Type.BOOL:
        return bool(shown)
    value = shown / wire.scale
    return float(value) if wire.type is Type.REAL else round(value)
