"""Numbers of nature and of agreement, each once, with its source; everything else imports them from here."""

from __future__ import annotations

ZERO_CELSIUS = 273.15  # K, exact (SI Brochure, 9th edition, 2019, section 2.3.1)
TRIPLE_POINT = 273.16  # K, of water (IAPWS R6-95; until 2019 the definition of the kelvin)
ATMOSPHERE = 101_325.0  # Pa, standard atmosphere, exact (10th CGPM, 1954, resolution 4)
G = 9.80665  # m/s2, standard gravity, exact (3rd CGPM, 1901)
MOLAR_GAS = 8.31446261815324  # J/mol/K, exact (Avogadro's times Boltzmann's constant, SI of 2019)
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4 (CODATA 2018; further digits left out)

M_AIR = 0.02896546  # kg/mol, dry air with 400 ppm of CO2 (CIPM-2007: Picard et al., Metrologia 45 (2008) 149)
M_WATER = 0.018015268  # kg/mol (IAPWS R6-95)
M_NITROGEN = 0.02801348  # kg/mol (Span et al., J. Phys. Chem. Ref. Data 29 (2000) 1361)
R_AIR = MOLAR_GAS / M_AIR  # J/kg/K, 287.05
R_STEAM = MOLAR_GAS / M_WATER  # 461.52
R_NITROGEN = MOLAR_GAS / M_NITROGEN  # 296.80

WATER = 999.0  # kg/m3, water at 14 degC (IAPWS-95)
