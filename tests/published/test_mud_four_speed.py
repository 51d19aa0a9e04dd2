"""Least squares of a Herschel-Bulkley law to a drilling mud.

Source     University course PET575, exercise 5 and its output, "Current function value: 0.356646";
           data/mud_four_speed.csv.
Kind       published
Trust      V: read in stored text of the source.
Agreement  1e-5 of the sum of squares: the course's simplex stopped early, the least sum is 0.356643.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import rheokit as rk


def test_least_sum_of_squares():
    rows = pd.read_csv(Path(__file__).parent / "data" / "mud_four_speed.csv", comment="#")
    rates, stresses = rows["shear_rate_1_per_s"], rows["dial_stress_lbf_per_100ft2"]
    law = rk.fit(rk.HerschelBulkley, rk.FlowCurve(shear_rate=rates, shear_stress=stresses, error="absolute")).law
    squares = np.sum((law.shear_stress(rates) - stresses) ** 2)
    assert squares == pytest.approx(0.356646, rel=1e-5)
    assert squares < 0.356646 + 5e-7
    assert law.yield_stress == pytest.approx(11.391, abs=5e-4)
    assert law.consistency == pytest.approx(1.40264, abs=5e-6)
    assert law.flow_index == pytest.approx(0.38154, abs=5e-6)
