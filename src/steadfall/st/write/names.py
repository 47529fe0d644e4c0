"""Identifiers that any environment accepts: ASCII letters, digits and single lines, at most 32 characters.

Rule of this file: IEC 61131-3 does not tell capital from small letters and forbids two lines in a row, a line
at the end, and its own words; so names that differ only there are told apart by a number.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

LONGEST = 32

# Keywords, types, standard functions and blocks, operators of the instruction list; from memory of the
# standard.
_RESERVED = """
abs acos action add add_dt_time add_time add_tod_time and andn any any_bit any_date any_int any_num any_real
array asin at atan bool by byte cal calc calcn case char concat configuration constant continue cos ctd ctu
ctud date date_and_time delete dint div div_time do dt dword else elsif en end_action end_case
end_configuration end_for end_function end_function_block end_if end_program end_repeat end_resource end_step
end_struct end_transition end_type end_var end_while eno eq et exit exp expt false find for f_edge f_trig from
function function_block ge gt if in initial_step insert int interval jmp jmpc jmpcn l ld ldn le left len limit
lint ln log lreal lt ltime lword max mid min mod move mul mul_time mux n ne non_retain not null of on or orn
override p par_out priority private program protected pt public q read_only read_write real ref_to reference
repeat replace resource ret retain retc retcn return right rol ror round rs r r1 r_edge r_trig s s1 sd sel shl
shr sin single sint sl sqrt sr st step string struct sub sub_time super tan task then this time time_of_day
tod tof ton to tp transition true trunc type udint uint ulint until usint using var var_access var_config
var_external var_global var_in_out var_input var_output var_temp wchar while with word wstring xor xorn
"""
RESERVED = frozenset(_RESERVED.split())


def ascii_text(text: str) -> str:
    """A text in ASCII: accents dropped, what has no like a question mark, control characters blanks."""
    plain = unicodedata.normalize("NFKD", text.replace("\u2212", "-").replace("\u00d7", "x"))
    kept = "".join(letter for letter in plain if not unicodedata.combining(letter))
    spaced = "".join(letter if letter.isprintable() else " " for letter in kept)
    return spaced.encode("ascii", "replace").decode("ascii")


def identifier(wish: str) -> str:
    """The wish as an identifier; a long one loses words from its middle."""
    word = re.sub(r"[^A-Za-z0-9]+", "_", ascii_text(wish)).strip("_") or "unnamed"
    word = f"n_{word}" if word[0].isdigit() else word
    word = _shorter(word)
    return f"{_cut(word, 2)}_1" if word.lower() in RESERVED else word


def _shorter(word: str) -> str:
    parts = word.split("_")
    while len(parts) > 2 and len("_".join(parts)) > LONGEST:
        del parts[len(parts) // 2]
    return "_".join(parts)[:LONGEST].rstrip("_")


def _cut(word: str, room: int) -> str:
    return word[: LONGEST - room].rstrip("_")


class Names:
    """Hands out identifiers, each once, whatever case it is written in."""

    def __init__(self, taken: Iterable[str] = ()) -> None:
        self.taken = {name.lower() for name in taken}
        self.known: dict[object, str] = {}

    def of(self, key: object, wish: str) -> str:
        """The identifier of a thing: always the same for the same key."""
        if key not in self.known:
            self.known[key] = self._free(identifier(wish))
        return self.known[key]

    def _free(self, word: str) -> str:
        found, number = word, 1
        while found.lower() in self.taken or found.lower() in RESERVED:
            number += 1
            found = f"{_cut(word, len(str(number)) + 1)}_{number}"
        self.taken.add(found.lower())
        return found
