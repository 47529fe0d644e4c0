"""The instructions of the register machine on which a network runs fast.

Rule of this file: numbers only. An instruction is five whole numbers: opcode, target, a, b, c; the last four
are register numbers. Whether they count whole-number registers (BOOL, TIME, INT) or REAL ones follows from
the opcode. Frequent ones come first.
"""

from __future__ import annotations

# Whole numbers: BOOL is 0 or 1, TIME is in ms.
AND = 0  # target = a and b
OR = 1  # target = a or b
AND_NOT = 2  # target = a and not b
SELECT = 3  # target = b if a else c
MUX = 4  # target = the register a places after b, of c registers
MOVE = 5  # target = a
EQUAL = 6
LESS = 7  # target = a < b
LESS_EQUAL = 8
NOT = 9
DIFFERENT = 10

# Blocks. c is the first of the two registers that hold a block's elapsed time and state.
SINCE = 11  # a event, b limit
TON = 12  # a part, b preset
TOF = 13
TP = 14
RISE = 15
FALL = 16
SET_DOMINANT = 17  # a set, b reset
RESET_DOMINANT = 18
LAST_BLOCK = RESET_DOMINANT

# REAL registers on one side at least.
REAL_SELECT = 19  # a is a whole-number register
REAL_MUX = 20
REAL_MOVE = 21
REAL_EQUAL = 22  # target is a whole-number register, so for the next three
REAL_DIFFERENT = 23
REAL_LESS = 24
REAL_LESS_EQUAL = 25
ADD = 26
SUBTRACT = 27
MULTIPLY = 28
LEAST = 29
GREATEST = 30
TO_REAL = 31  # target REAL, a whole number
TO_TIME = 32  # target whole number, a REAL, b step (whole number)

# Whole numbers again; rare. They stop at +-2^53.
WHOLE_ADD = 33
WHOLE_SUBTRACT = 34

SQUARE_ROOT = 35  # target REAL, a REAL; 0 of what is not above 0

REAL_TARGETS = frozenset(
    {REAL_SELECT, REAL_MUX, REAL_MOVE, ADD, SUBTRACT, MULTIPLY, LEAST, GREATEST, SQUARE_ROOT, TO_REAL}
)

FIRST_SCAN_DONE = 0  # the whole-number register that is 0 until the first scan has begun
