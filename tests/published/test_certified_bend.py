"""Laws of Cross and of Carreau and Yasuda against a certified regression: both are y = b1 b2 x/(1 + b2 x) at a flow index of 0.

Source     NIST/ITL Statistical Reference Datasets, Nonlinear Regression: Misra1d.dat, whose readings are those of Misra1a.dat;
           data/strd_data.csv.
Kind       published
Trust      V: read in stored text of the source ("b1 = 500 450 4.3736970754E+02 3.6489174345E+00", "Residual Sum of
           Squares: 5.6419295283E-02").
Agreement  parameters 1e-6, standard error 1e-4, residual sum of squares 1e-8: certified to 11 digits.

For Sisko's law, Robertson and Stiff's, the three-component law and the one with a Newtonian term no published number with
all that it rests on was found.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import rheokit as rk

READINGS = pd.read_csv(Path(__file__).parent / "data" / "strd_data.csv", comment="#")
PLATEAU, RATE, RATE_ERROR, SQUARES = 4.3736970754e2, 3.0227324449e-4, 2.9334354479e-6, 5.6419295283e-2
STARTS = (500.0, 1e-4), (450.0, 3e-4)


@pytest.mark.filterwarnings("ignore::rheokit.RheokitWarning")  # volumes adsorbed are no paste
@pytest.mark.parametrize("start", STARTS)
@pytest.mark.parametrize("law_class", [rk.Cross, rk.CarreauYasuda])
def test_certified_values(law_class, start):
    rows = READINGS[READINGS["set"] == "Misra1a"]
    rates, stresses = rows.x.to_numpy(), rows.y.to_numpy()
    fixed = {"final_viscosity": 0.0, "flow_index": 0.0} | ({"transition": 1.0} if law_class is rk.CarreauYasuda else {})
    plateau, rate = start
    begin = {"zero_shear_viscosity": plateau * rate, "time_constant": rate}
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=stresses, error="absolute")
    found = rk.fit(law_class, curve, fixed=fixed, start=begin)
    assert found.law.time_constant == pytest.approx(RATE, rel=1e-6)
    assert found.law.zero_shear_viscosity == pytest.approx(PLATEAU * RATE, rel=1e-6)
    assert found.table.stderr["time_constant"] == pytest.approx(RATE_ERROR, rel=1e-4)
    assert np.sum((found.law.shear_stress(rates) - stresses) ** 2) == pytest.approx(SQUARES, rel=1e-8)
