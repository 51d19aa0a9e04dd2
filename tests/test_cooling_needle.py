"""A bare needle in a room: whether it kept the temperature that its readings stand for.

Kind: exact, by the heat that its wall loses to the air (25 W/m2K): 16 K fall to 16 exp(-π 25 d_o L/(3.6e6 Q)) on the way, and to
16 exp(-t/48.2 s) in a rest. The worked rest is 26.6 °C after 60 s at 38 °C in a room of 22 °C.
"""

import warnings

import numpy as np
import pytest

import rheokit as rk
from rheokit.fitting import needles
from rheokit.units import mm

LAW = rk.heated(rk.Newtonian)(viscosity=0.9198, activation_energy=42e3)
NEEDLE = {"needle_outer_diameter": 1.27 * mm, "room_temperature": 295.15}
FLOWS = np.array([1.6, 6.0, 30.0]) * mm**3


def run(celsius=38.0, flows=FLOWS, bore=0.84 * mm, **more):
    nozzle = rk.Nozzle(rk.Cylinder(diameter=bore, length=25 * mm))
    rig = rk.Extruder(barrel_diameter=20.1 * mm, fill_length=60 * mm, nozzle=nozzle)
    law = LAW.at(temperature=celsius + 273.15)
    force = np.array([rig.plunger_force(law, flow) for flow in flows])
    return rk.ForceRun(
        extruder=rig, flow_rate=flows, force=force, relative_uncertainty=0.02, plunger_friction_uncertainty=0.0, **more
    )


def bench(*tests, celsius=38.0, gel=31.0):
    points = [] if gel is None else [rk.InvertedTube(transition_temperature=gel + 273.15)]
    return rk.Bench(rk.Specimen(temperature=celsius + 273.15), [*tests, *points])


def check(of):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = rk.fit(rk.Newtonian, of)
        assert {row.question for row in needles.all_checks(fit)} <= set(fit.checks.question)
    return next(iter(needles.all_checks(fit)), None)


def test_slow_rows_lose_heat_on_their_way():
    """16 K x (1 - exp(-π 25 x 1.27 mm x 25 mm/(3.6e6 Q))): 5.63, 1.75 and 0.37 K."""
    lost = 16 * (1 - np.exp(-np.pi * 25 * 1.27 * mm * 25 * mm / (3.6e6 * FLOWS)))
    assert lost == pytest.approx([5.62, 1.74, 0.366], rel=0.01)
    row = check(bench(run(**NEEDLE)))
    assert not row.passed
    assert row.value == pytest.approx(lost[0], rel=1e-6)
    assert row.rows == ((0, 0), (0, 1))
    assert row.comment == (
        "syringe force rows 1, 2: the flow lost 1.7 to 5.6 K on its way. They read as a thicker liquid than that of the barrel. Heat the needle, "
        "or push faster; purge it after every rest until what comes out is warm, and repeat these rows."
    )


def test_a_rest_that_cools_the_tip_towards_the_gel_point_is_named():
    """60 s: 22 + 16 exp(-60/48.2) = 26.6 °C, below the gel point; 3 s leave it at 37 °C."""
    fast = np.array([30.0, 30.0, 30.0]) * mm**3
    row = check(bench(run(flows=fast, rest=[0.0, 3.0, 60.0], **NEEDLE)))
    assert row.rows == ((0, 2),)
    assert "row 3: a rest cooled the tip to 26.6 °C, with a gel point of 31 °C" in row.comment
    assert check(bench(run(flows=fast, rest=[0.0, 3.0, 3.0], **NEEDLE))).passed


def test_without_a_gel_point_a_rest_is_not_judged_and_said_so():
    fast = np.array([30.0, 30.0]) * mm**3
    row = check(bench(run(flows=fast, rest=[0.0, 60.0], **NEEDLE), gel=None))
    assert row.passed
    assert "is not judged: the gel point is not known; an inverted tube tells it" in row.comment


def test_a_needle_that_is_heated_is_not_asked():
    assert check(bench(run())) is None


def test_the_temperature_in_the_barrel_must_be_known():
    row = check(rk.Bench(rk.Specimen(), [run(**NEEDLE)]))
    assert not row.passed
    assert "the temperature in the barrel is not known" in row.comment


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (
            {"needle_outer_diameter": 1.27 * mm},
            "give room_temperature as well, or leave it out where the needle is heated",
        ),
        (
            {**NEEDLE, "needle_outer_diameter": 0.8 * mm},
            "needle_outer_diameter = 0.8 mm is not above the bore, 0.84 mm",
        ),
    ],
)
def test_needles_that_cannot_be(more, words):
    with pytest.raises(rk.DataError) as caught:
        run(**more)
    assert words in str(caught.value)
