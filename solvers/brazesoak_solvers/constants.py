"""Physical constants in SI, each in one place."""

STEFAN_BOLTZMANN = 5.670374419e-8
"""Stefan-Boltzmann constant [W/(m2 K4)]. Source: CODATA 2018, exact since the 2019 SI."""

GAS_CONSTANT = 8.314462618
"""Molar gas constant [J/(mol K)]. Source: CODATA 2018, exact since the 2019 SI to the digits given."""

ZERO_CELSIUS = 273.15
"""0 degC in kelvin. Source: definition of the degree Celsius, BIPM SI Brochure, 9th ed."""

KILOWATT_HOUR = 3.6e6
"""[J]. Source: definition of the watt and the hour, BIPM SI Brochure, 9th ed."""
