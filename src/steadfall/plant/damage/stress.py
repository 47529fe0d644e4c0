"""Elastic thermal stress of the wall of a cooled bore."""

from __future__ import annotations

from steadfall.plan.model import Material


def uneven_stress(solid: Material, below: float) -> float:
    """Elastic stress in a part of a body that is `below` K colder than the mean of parts side by side, Pa.

    sigma = E alpha (T_mean - T): the parts are strips that share one length, held straight (Timoshenko and
    Goodier, Theory of Elasticity, chapter 13, from memory). A body that may bend sheds what goes straight
    across it, and one whose parts lie behind each other with nothing beside them has none: an upper bound.
    E [Pa], alpha [1/K]. Steel of 200 GPa, 12e-6 1/K at 50 K: 120 MPa.
    """
    return solid.youngs_modulus * solid.expansion * below


def restrained_stress(solid: Material, below: float) -> float:
    """Elastic stress in a surface that is `below` K colder than the body that holds it, Pa; tension is
    positive.

    sigma = E alpha dT / (1 - nu): full restraint in both directions of the surface (Boley and Weiner, Theory
    of Thermal Stresses, 1960, chapter 9; from memory). E [Pa], alpha [1/K], nu [-]. Elastic only: above the
    yield stress it is a measure of the strain. A plate that is free to bend under a linear profile has half
    of it (Moss, Pressure Vessel Design Manual, figure 1-4). Steel of 200 GPa, 12e-6 1/K, 0.3 at 100 K:
    342.857 MPa.
    """
    return solid.youngs_modulus * solid.expansion * below / (1.0 - solid.poisson)
