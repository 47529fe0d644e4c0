"""What a reader must have in mind before acting on a prediction. The report prints it; other papers may
too.
"""

from __future__ import annotations

from steadfall.prove.trusted import TRUSTED, WHERE

# Volume of steam: saturated at 100 degC it weighs 0.598 kg/m3 (IAPWS-IF97), water there 958 kg/m3, a ratio of
# 1,602. The spread of correlations and the rest: common practice.
CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "Steam",
        "Water on metal above its boiling point flashes to steam, and one litre of water becomes about "
        "1,600 litres of "
        "steam at atmospheric pressure. Outlets, drains and vents must lead to where nobody stands.",
    ),
    (
        "Scald",
        (
            "Outlets, pipes and the first water out of a drain stay scalding hot long after the metal looks "
            "cold."
        ),
    ),
    (
        "Stored pressure",
        "A circuit shut at both ends with water in it and heat behind it becomes a pressure vessel. "
        "Release and prove zero pressure before opening anything.",
    ),
    (
        "Water hammer",
        "Steam that meets cold water collapses, and a fast valve stops a moving column; both strike the "
        "pipe far above "
        "the pressures drawn here, which are means over a cell and a time step.",
    ),
    (
        "Thermal shock",
        "Cold water on hot metal strains its surface each time. Cracks grow dose by dose and are not seen "
        "in one cool-down.",
    ),
    (
        "Not a safety function",
        "A cool-down sequence is ordinary control. Trips that protect people belong in a safety-rated "
        "system designed "
        "by licensed practice to local codes.",
    ),
    (
        "Estimate",
        "Before it is fitted to records of the real plant a prediction is an estimate. Correlations of "
        "boiling and "
        "two-phase flow are commonly off by tens of percent; watch the first real cool-down at the valve.",
    ),
)

# Of a proof or a comparison.
TRUSTED_CAUTION = (
    "Trusted, not proved",
    f"{'; '.join(row.sentence for row in TRUSTED)} ({WHERE}).",
)

# Of sizes.
SIZE_CAUTION = (
    "Sizing",
    "These are sums to choose and check parts by, not a design that is signed for: relief valves and all "
    "that holds pressure are sized by licensed practice to local codes, with the makers' own data. A "
    "cool-down sequence is not a safety function.",
)
DOSE_CAUTION = (
    "Doses",
    "These are proposals to try on the plant with care, gentlest first: they are as good as the plan's own "
    "numbers and the model, and a prediction before fitting to the real plant is an estimate.",
)
