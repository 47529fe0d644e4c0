"""Figures that both the judgement of a plan and its calculation use."""

from __future__ import annotations

WATER = 999.0  # kg/m3, water at 14 degC (IAPWS-95)
G = 9.80665  # m/s2, standard gravity (3rd CGPM, 1901)
