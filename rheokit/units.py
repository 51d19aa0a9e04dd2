"""SI factors as plain floats, so that a script reads ``0.84*mm`` or ``3*mL/minute``.

Everything inside rheokit is SI; a unit is met only where numbers come in (reading) and go out (charts, tables).
"""

m = 1.0
dm, cm, mm, um = 1e-1, 1e-2, 1e-3, 1e-6
m3, L, mL, uL = 1.0, 1e-3, 1e-6, 1e-9
s, minute, hour, day = 1.0, 60.0, 3600.0, 86400.0
kg, g, mg = 1.0, 1e-3, 1e-6
N, kN, mN = 1.0, 1e3, 1e-3
Pa, kPa, MPa, mbar, bar = 1.0, 1e3, 1e6, 1e2, 1e5
psi = 6894.757293168361
kgf = 9.80665
J, W = 1.0, 1.0

STANDARD_GRAVITY = 9.81
"""Acceleration of free fall used by every bench test [m/s2] (three digits, as bench practice has it)."""

ATMOSPHERE = 101325.0
"""Standard atmosphere, the absolute pressure added to a gauge pressure [Pa]."""

ZERO_CELSIUS = 273.15
"""0 °C [K]."""
