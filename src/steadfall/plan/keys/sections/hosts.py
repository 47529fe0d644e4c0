"""The keys of the geometry by which a circuit meets its host: holes, a jacket, a tube bank and its fins.

Rule of this file: data only; see `plan.keys.sections.equipment`.
"""

from __future__ import annotations

from steadfall.plan.keys.kinds import Amount, One, Solid, Whole, Words, may, must, section
from steadfall.plan.model.equipment import Bank, Drilled, Fins, Jacket

_CONDUCTIVITY = Amount("conductivity", "0.01 W/m/K", "500 W/m/K")
_LENGTH = Amount("length", "1 mm", "5 m")
_FIN = Amount("length", "0.05 mm", "200 mm")

SECTIONS = (
    section(
        "drilled",
        Drilled,
        "A row of parallel holes below the face of a solid host; the layer `wall` round each belongs "
        "to the channel.",
        must("spacing", _LENGTH, "From the axis of one hole to the next.", "60 mm"),
        must("depth", _LENGTH, "From the face that heat comes from to the axes.", "30 mm"),
    ),
    section(
        "jacket",
        Jacket,
        "A channel laid on a solid host, such as a barrel or a roll; the channel's own `wall` is not "
        "counted again.",
        must("area", Amount("area", "1 cm2", "10000 m2"), "Area that it covers.", "0.9 m2"),
        must("thickness", _LENGTH, "Metal between the channel's wall and the heat.", "25 mm"),
        may("radius", _LENGTH, "Of the round surface that it lies on; flat without it.", "120 mm"),
    ),
    section(
        "bank",
        Bank,
        "Tubes that the gas stream blows across; bore, `wall` and the whole length of tube are those "
        "of the path.",
        must("rows", Whole(1, 200), "Rows of tubes one behind the other.", "4"),
        must("across", Whole(1, 1000), "Tubes side by side in a row.", "12"),
        must("pitch_across", _LENGTH, "From tube to tube across the stream.", "60 mm"),
        must("pitch_along", _LENGTH, "From row to row along the stream.", "52 mm"),
        must(
            "arrangement",
            Words(("staggered", "in_line")),
            "Whether a row stands behind the gaps or behind the tubes of the row before it.",
            "staggered",
        ),
        may(
            "fins",
            One("fins"),
            "Round fins on the tubes.",
            "{pitch: 2.5 mm, height: 15 mm, thickness: 0.4 mm, material: aluminium}",
        ),
    ),
    section(
        "fins",
        Fins,
        "Round fins on the tubes of a bank.",
        must("pitch", _FIN, "From fin to fin along the tube.", "2.5 mm"),
        must("height", _FIN, "From the tube to the tip of the fin.", "15 mm"),
        must("thickness", _FIN, "Thickness of the fin.", "0.4 mm"),
        may("material", Solid(), "Material of the fins; or give `conductivity`.", "aluminium"),
        may(
            "conductivity",
            _CONDUCTIVITY,
            "Thermal conductivity of the fins; or give `material`.",
            "200 W/m/K",
        ),
        one_of=(("material", "conductivity"),),
    ),
)
