"""A capillary viscometer and a yielding insulation material of a fluid mechanics text.

Source     Fox and McDonald, Introduction to Fluid Mechanics: Example 8.4 p. 352; 8th ed. ch. 2, problem on a
           material extruded into cavities (vaia.com textbook page); data/fox_parallel_plate.csv.
Kind       published
Trust      8.4 S: as transcribed in a worked-example companion, page not seen. The plate problem: readings V
           (statement read in stored text), answers M (154 Pa, 0.963 Pa s, 0.65 Pa s: recalled from memory,
           then recomputed).
Agreement  half a unit of the last printed place.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import rheokit as rk
from rheokit.units import MPa, mm

PLATES = pd.read_csv(Path(__file__).parent / "data" / "fox_parallel_plate.csv", comment="#")
GAP = 1 * mm


@pytest.fixture(scope="module")
def insulation():
    """Return the Bingham fit to the rows in which the plate moved."""
    moving = PLATES[PLATES.plate_speed_m_per_s > 0]
    rates = moving.plate_speed_m_per_s / GAP
    return rk.fit(rk.Bingham, rk.FlowCurve(shear_rate=rates, shear_stress=moving.shear_stress_Pa, error="absolute"))


def test_viscosity_from_a_capillary():
    """Example 8.4: 880 mm3/s through 1 m of 0.5 mm at 1.0 MPa -> 0.0017 Pa s (unrounded 1.743e-3)."""
    tube = rk.Nozzle(rk.Cylinder(diameter=0.5 * mm, length=1.0))
    run = rk.PressureRun(nozzle=tube, flow_rate=[880 * mm**3], pressure=[1.0 * MPa], relative_uncertainty=0.01)
    viscosity = rk.fit(rk.Newtonian, run).law.viscosity
    assert viscosity == pytest.approx(0.0017, abs=5e-5)
    assert viscosity == pytest.approx(1.743e-3, abs=5e-7)


def test_bingham_line_through_the_moving_rows(insulation):
    assert insulation.law.yield_stress == pytest.approx(154, abs=0.5)
    assert insulation.law.plastic_viscosity == pytest.approx(0.963, abs=5e-4)


def test_replacement_that_yields_at_250_pascal(insulation):
    """Same rate at 450 Pa with a yield stress of 250 Pa: printed 0.65 Pa s, recomputed 0.6516."""
    rate = insulation.law.shear_rate(450.0)
    assert rk.Bingham(yield_stress=250.0, plastic_viscosity=0.6516).shear_stress(rate) == pytest.approx(450, abs=0.02)
    assert (450 - 250) / rate == pytest.approx(0.65, abs=5e-3)


def test_plates_at_rest_are_bounds_and_not_readings(insulation):
    """50, 100 and 150 Pa moved nothing: the stress at rest is at least that. Taken as readings they pull the
    yield stress down.
    """
    rates, stresses = PLATES.plate_speed_m_per_s.to_numpy() / GAP, PLATES.shear_stress_Pa.to_numpy()
    at_rest = np.where(rates > 0, 0, 1)  # censored: 1 is "at least this"
    bounded = rk.FlowCurve(shear_rate=rates, shear_stress=stresses, uncertainty=5.0, censored=at_rest)
    naive = rk.FlowCurve(shear_rate=rates, shear_stress=stresses, uncertainty=5.0)
    with_bounds, as_readings = rk.fit(rk.Bingham, bounded).law, rk.fit(rk.Bingham, naive).law
    assert with_bounds.yield_stress == pytest.approx(insulation.law.yield_stress, abs=3.0)  # the reading error is 5 Pa
    assert as_readings.yield_stress < 150  # less than a stress the material stood
    assert np.all(insulation.law.shear_rate(stresses[rates == 0]) == 0)
