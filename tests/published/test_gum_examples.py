"""Uncertainty budgets against the worked examples of the Guide to the expression of uncertainty in measurement.

Source     JCGM 100:2008 (GUM 1995 with minor corrections), H.3 "Calibration of a thermometer", tables H.6 and H.7 and H.3.4, and
           the example in G.4.1, note 3 on effective degrees of freedom.
Kind       published
Trust      from memory: data and results of H.3 are held together by each other (the eleven readings give the eight printed results).
Agreement  all digits printed.
"""

from dataclasses import dataclass

import numpy as np
import pytest

import rheokit as rk
from rheokit.fitting.budget_inputs import Input
from rheokit.fitting.propagation import effective_freedom

TEMPERATURE = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511])  # °C
TURNED = np.array([0.171, 0.169, 0.166, 0.159, 0.164, 0.165, 0.156, 0.157, 0.159, 0.161, 0.160])  # -b, °C


@dataclass(frozen=True, eq=False)
class Calibration(rk.FlowLaw):
    """b = y1 + y2 (t - 20 °C), with t in the place of a rate and -b in that of a stress: readings of a bench are positive."""

    intercept: float = rk.parameter("y1", "-", "correction at 20 °C", low=-np.inf)
    slope: float = rk.parameter("y2", "-", "correction per degree", low=-np.inf)

    def shear_stress(self, shear_rate):
        return -self.intercept - self.slope * (shear_rate - 20.0)


@pytest.fixture(scope="module")
def fit():
    readings = rk.FlowCurve(shear_rate=TEMPERATURE, shear_stress=TURNED, error="absolute")
    return rk.fit(Calibration, readings, start={"intercept": -0.1, "slope": 0.001})


def test_thermometer_calibration(fit):
    intercept, slope = (
        rk.uncertainty_budget(fit, lambda law, name=name: law.values[name]) for name in ("intercept", "slope")
    )
    assert (round(intercept.value, 4), round(intercept.standard_uncertainty, 4)) == (-0.1712, 0.0029)
    assert (round(slope.value, 5), round(slope.standard_uncertainty, 5)) == (0.00218, 0.00067)
    assert round(fit.correlations.loc["intercept", "slope"], 3) == -0.930
    assert round(intercept.table.standard_uncertainty[0], 4) == 0.0035  # s, of one reading


def test_thermometer_correction_at_30_degrees(fit):
    budget = rk.uncertainty_budget(fit, lambda law: -law.shear_stress(30.0))
    assert (round(budget.value, 4), round(budget.standard_uncertainty, 4)) == (-0.1494, 0.0041)
    assert budget.degrees_of_freedom == pytest.approx(9)
    assert list(budget.table.kind) == ["A"]
    assert round(budget.coverage_factor, 2) == 2.26  # Student's t of 9 degrees of freedom, GUM table G.2
    assert len(budget.readings) == 11
    assert budget.readings.share.sum() == pytest.approx(1)


def test_effective_degrees_of_freedom():
    """Three inputs known to 0.25, 0.57 and 0.82 % from 10, 5 and 15 observations: 1.03 %, 19.0 degrees of freedom."""
    given = {"X1": (0.25, 9), "X2": (0.57, 4), "X3": (0.82, 14)}
    inputs = [
        Input(name, 1.0, "-", size, "A", "normal", freedom, np.array([size]), "", name)
        for name, (size, freedom) in given.items()
    ]
    total = float(np.sqrt(sum(one.contribution**2 for one in inputs)))
    assert round(total, 2) == 1.03
    assert round(effective_freedom(inputs, total), 1) == 19.0
