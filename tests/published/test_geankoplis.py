"""Capillary and pipe flow examples of a unit-operations text.

Source     Geankoplis, Transport Processes and Unit Operations, Examples 2.10-1 p. 85 and 3.5-1 p. 158.
Kind       published
Trust      S: as transcribed in a worked-example companion, page not seen; its digits are the transcriber's
           own arithmetic.
Agreement  half a unit of the last printed place.
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import mm


def test_flow_from_a_small_head():
    """Example 2.10-1: 2.22 mm, 0.317 m, 1.13e-3 Pa s, 875 kg/m3, 640 Pa -> 0.275 m/s, 1.065e-6 m3/s, Re 473.

    640 Pa is the example's own rounding of 0.0655 m of water (642 Pa).
    """
    diameter = 2.22 * mm
    tube = rk.Nozzle(rk.Cylinder(diameter=diameter, length=0.317))
    flow = tube.flow_rate(rk.Newtonian(viscosity=1.13e-3), 640.0)
    velocity = 4 * flow / (np.pi * diameter**2)
    assert flow == pytest.approx(1.065e-6, abs=0.5e-9)
    assert velocity == pytest.approx(0.275, abs=0.5e-3)
    assert velocity * diameter * 875 / 1.13e-3 == pytest.approx(473, abs=0.5)


def test_power_law_in_a_pipe():
    """Example 3.5-1: K' 15.23, n 0.40, 0.0524 m, 14.9 m, 0.0728 m/s, 1041 kg/m3 -> 45391 Pa, 43.60 J/kg,
    Re_gen 1.106.

    K' is on 8V/D, the apparent rate: K = K'/((3n+1)/4n)^n.
    """
    apparent, n, diameter, velocity, density = 15.23, 0.40, 0.0524, 0.0728, 1041.0
    law = rk.PowerLaw(consistency=apparent / ((3 * n + 1) / (4 * n)) ** n, flow_index=n)
    pipe = rk.Cylinder(diameter=diameter, length=14.9)
    pressure = pipe.pressure_drop(law, velocity * np.pi * diameter**2 / 4)
    assert pressure == pytest.approx(45391, abs=0.5)
    assert pressure / density == pytest.approx(43.60, abs=5e-3)
    fanning = pressure * diameter / (4 * 14.9) * 2 / (density * velocity**2)
    assert 16 / fanning == pytest.approx(1.106, abs=5e-4)
