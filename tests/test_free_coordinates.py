"""Limits end, and hold, where a bench has fewer readings than the law has parameters: a kitchen's seven and Cross or Carreau-Yasuda.

Kind       two ways to one limit: a climb that never leaves the region against the profile, which meets the value asked
           for; and what no reading touches keeps the limits it was given.
Trust      B; no print behind them.
"""

import numpy as np
import pytest

import rheokit as rk
from rheokit.fitting import predictions, profile
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore")]

BENCH = """
[specimen]
paste = "typed paste"
density = "1100 kg/m3"
invented = true

[apparatus.syringe]
barrel_diameter = "20 mm"
fill_length = "60 mm"
plunger_friction = "3 N"
barrel_drag = 1

[[test]]
kind = "syringe force"
file = "syringe.csv"
apparatus = "syringe"
nozzle = [{diameter = "2 mm", length = "20 mm"}]
read = "flow_rate"
uncertainty = "to 1 g"

[[test]]
kind = "loaded plate"
file = "plate.csv"
volume = "5 mL"
force = "10 N"
wall_friction = 1
"""
SYRINGE = "load mass [g],caught mass [g],catch time [s]\n702,13,763\n827,13,282\n1032,13,104\n1369,13,38\n"


@pytest.fixture(scope="module")
def bench():
    files = {"bench.toml": BENCH, "syringe.csv": SYRINGE, "plate.csv": "radius [mm]\n38.1\n37.9\n38.5\n"}
    return read_files(Memory({name: text.encode() for name, text in files.items()}))


def at_one(law):
    return law.shear_stress(1.0)


def test_limits_of_cross_are_where_the_profile_meets_them(bench):
    fit = rk.fit(rk.Cross, bench)
    found = fit.interval(at_one)
    evaluate = predictions.stacked(fit, at_one, None, np.asarray(1.0))
    ((high, why),) = profile.limits(fit.problem, fit.misfit(0.95), fit.minimum, evaluate, sides=(1,))
    assert why == "crossed"
    assert found.high == pytest.approx(high, rel=0.02)
    assert 0 < found.low < found.high / 10
    low, high = fit.limits("bore_factor[2 mm x 20 mm]")
    assert (low, high) == pytest.approx((0.981, 1.020), abs=2e-3)  # the bore was told to 1 %; two standard errors of it


def test_limits_of_five_parameters_from_seven_readings_end(bench):
    fit = rk.fit(rk.CarreauYasuda, bench)
    found = fit.interval(at_one)
    assert np.isnan(found.value)
    assert found.low < 40 and found.high > 250
