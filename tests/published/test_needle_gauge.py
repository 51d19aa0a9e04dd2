"""Needle gauges and the luer taper.

Source     Nominal regular-wall needles 7 to 31 gauge: en.wikipedia.org/wiki/Needle_gauge_comparison_chart
           ("21 ... 0.8192 ... 0.514"); data/needle_gauge_regular_wall.csv. Luer taper:
           threadcheck.com/iso-594-1, "6 % taper".
Kind       published (table), exact (angle)
Trust      V: read in stored text of the source; a trade table, not ISO 9626. The included angle D: derived,
           no print.
Agreement  table to the last printed place; outer diameter less two walls within 0.001 mm of the bore; angle
           5e-5 degrees.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import rheokit as rk
from rheokit.units import mm

TABLE = pd.read_csv(Path(__file__).parent / "data" / "needle_gauge_regular_wall.csv", comment="#")


def test_bore_is_outer_diameter_less_two_walls():
    bores = np.array([rk.needle_bore(gauge) for gauge in TABLE.gauge])
    np.testing.assert_allclose(bores, (TABLE.OD_mm - 2 * TABLE.wall_mm) * mm, rtol=0, atol=1.001e-3 * mm)


@pytest.mark.parametrize("row", list(TABLE.itertuples()), ids=lambda row: f"{row.gauge}G")
def test_bore_of_a_gauge(row):
    assert rk.needle_bore(row.gauge) == pytest.approx(row.ID_mm * mm, rel=1e-9)


def test_table_of_needles():
    """Outer diameters as printed; tolerances 0.076 mm to 14 gauge, 0.038 to 19, 0.019 beyond."""
    needles = rk.needles()
    assert list(needles.index) == list(TABLE.gauge) == list(range(7, 32))
    np.testing.assert_allclose(needles.outer_diameter, TABLE.OD_mm * mm, rtol=1e-9)
    tolerance = np.where(TABLE.gauge <= 14, 0.076, np.where(TABLE.gauge <= 19, 0.038, 0.019)) * mm
    np.testing.assert_allclose(needles.bore_tolerance, tolerance, rtol=1e-9)


def test_luer_taper():
    """6 % on the diameter is an included angle of 2 atan(0.03) = 3.4367 degrees."""
    taper = rk.luer_cone(outlet_diameter=4.0 * mm, length=7.5 * mm)
    assert taper.inlet_diameter - taper.outlet_diameter == pytest.approx(0.06 * 7.5 * mm, rel=1e-9)
    assert np.degrees(2 * taper.half_angle) == pytest.approx(3.4367, abs=5e-5)


def test_tolerance_of_a_25_gauge_bore_in_pressure():
    """±0.019 mm is 7 % of the bore and about 30 % of the pressure of a Newtonian fluid."""
    bore, tolerance = rk.needle_bore(25), 0.019 * mm
    assert tolerance / bore == pytest.approx(0.07, abs=5e-3)
    law, flow = rk.Newtonian(viscosity=1.0), 1 * mm**3
    nominal, narrow = (
        rk.Cylinder(diameter=d, length=13 * mm).pressure_drop(law, flow) for d in (bore, bore - tolerance)
    )
    assert narrow / nominal - 1 == pytest.approx(0.35, abs=5e-3)  # and 25 % less for the widest: "about 30 %"
