"""When water boils, for judgements on a plan; a prediction uses the finer tables of `plant`.

Rule of this file: the published equation as it stands.
"""

from __future__ import annotations

import math

# IAPWS R7-97(2012), table 34: coefficients of the saturation line, region 4.
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


def boils_at(pressure: float) -> float:
    """The temperature in K at which water boils at a pressure in Pa.

    IAPWS R7-97(2012), equation 31, 611 Pa to 22 MPa. Its check value (table 36): 372.755919 K at 0.1 MPa.
    """
    beta = (pressure / 1e6) ** 0.25
    e = beta**2 + _N[2] * beta + _N[5]
    f = _N[0] * beta**2 + _N[3] * beta + _N[6]
    g = _N[1] * beta**2 + _N[4] * beta + _N[7]
    d = 2.0 * g / (-f - math.sqrt(f**2 - 4.0 * e * g))
    return float((_N[9] + d - math.sqrt((_N[9] + d) ** 2 - 4.0 * (_N[8] + _N[9] * d))) / 2.0)
