"""Compiled loops. Symbols as in a textbook.

T temperature [K], H enthalpy [J/m3], c volumetric heat capacity [J/(m3 K)], k conductivity [W/(m K)],
V volume [m3], A area [m2], s shape factor [m], G conductance [W/K], F net heat flow
into a cell [W], q heat flow through a face [W].
"""
