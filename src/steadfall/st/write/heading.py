"""The head of the text: which plan, which state of it, and what a reader must have in mind."""

from __future__ import annotations

import textwrap

from steadfall.plan.model import Plan
from steadfall.st.write.literal import time_literal
from steadfall.st.write.unit import comment

CAUTIONS = (
    "This is ordinary control, not a safety function. What protects people belongs in a safety-rated "
    "system, designed "
    "by licensed practice to local codes. Steam and scald at the outlet, stored pressure, water hammer, "
    "hot metal.",
    (
        "A preset changed here is no longer the plan's: change the plan and write this text anew, or compare "
        "the two."
    ),
    "Times are those of the controller's scans: an event is seen at the first scan at or after its time.",
    "REAL has 32 bit in most environments; the plan was worked out with 64.",
)


SETTINGS = (
    "Settings stand as kept inputs, for the panel, and are kept within their ends. A level counts at once, a "
    "time is taken over while every circuit is idle."
)


def heading(plan: Plan) -> str:
    """The comment with which the text begins."""
    scan = plan.scan
    lines = [
        comment(plan.title),
        f"plan digest {plan.digest or 'none'}",
        f"plan revised {comment(plan.revised) or 'without a date'}",
        f"Run the program every {time_literal(scan.nominal_ms)}, at the latest "
        f"{time_literal(scan.longest_ms)} after "
        "the last time. Presets stand as constants at the head of each unit.",
        "",
        *CAUTIONS,
        *([SETTINGS] if plan.settings else []),
    ]
    folded = [row for line in lines for row in (textwrap.wrap(line, 106) or [""])]
    return "\n".join(["(*", *(f"  {row}".rstrip() for row in folded), "*)", ""])
