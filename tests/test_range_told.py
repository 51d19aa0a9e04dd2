"""There is one account of the rates that a law holds at: in words of a fit, in advice, checks and charts, and in an appendix."""

import numpy as np
import pytest
from test_appendix_words import study

import rheokit as rk
from rheokit import charts
from rheokit.appendix.sections import forces, validity
from rheokit.widgets.fit.words import binds

RATES = (10.0, 20.0, 40.0, 80.0, 160.0, 320.0)
PASTE = rk.HerschelBulkley(yield_stress=350.0, consistency=80.0, flow_index=0.45)
OFF = np.array([1.03, 0.97, 1.02, 0.96, 1.04, 0.98])
CURVE = rk.FlowCurve(
    shear_rate=RATES, shear_stress=OFF * PASTE.shear_stress(RATES), uncertainty=0.03 * PASTE.shear_stress(RATES)
)
PLATE = rk.LoadedPlate(volume=5e-6, force=9.81, radius=[0.0343, 0.0340, 0.0345], uncertainty=0.0007, model_error=0.15)
READ = "The readings cover 10 to 320 1/s"
YIELD = f"{READ} and the yield stress"
DOWN = "slower than 10 1/s the law is interpolated down to the yield stress, with no rate read between; faster than 320 1/s it is extrapolated"


def of(tests, **more):
    return rk.fit(rk.HerschelBulkley, *tests, **more)


@pytest.fixture(scope="module")
def alone():
    return of([CURVE])


@pytest.fixture(scope="module")
def both():
    return of([CURVE, PLATE])


def test_what_is_covered_and_what_the_law_is_beyond(alone, both):
    assert (alone.covered_words, alone.beyond_words) == (
        "the readings cover 10 to 320 1/s",
        "slower than 10 1/s and faster than 320 1/s the law is extrapolated",
    )
    assert (both.covered_words, both.beyond_words) == ("the readings cover 10 to 320 1/s and the yield stress", DOWN)
    plate = of([PLATE])
    assert (plate.covered_words, plate.beyond_words) == ("no test has read any rate", "nothing tells how it flows")
    assert both.covers(50.0, 50.0) == (True, "asks for 50 1/s; the readings cover 10 to 320 1/s and the yield stress")


def test_advice_does_not_deny_what_the_yield_stress_covers():
    told = rk.which_law(CURVE, PLATE, law_classes=(rk.HerschelBulkley, rk.Bingham), use_range=(1.0, 100.0)).words
    assert f"; the readings cover 10 to 320 1/s and the yield stress: {DOWN}." in told
    assert "no law is supported" not in told
    outside = rk.which_law(CURVE, PLATE, law_classes=(rk.HerschelBulkley, rk.Bingham), use_range=(100.0, 5000.0)).words
    assert f"and the yield stress; the rates of use go beyond that: {DOWN}" in outside


def test_picture_and_strip_say_the_same(alone, both):
    words = charts.flow_curve(both).to_dict()["description"]
    assert f"{YIELD}. Dashed where it is extrapolated." in words
    assert both.checks.passed.all() and alone.checks.passed.all(), "what fails is said first"
    assert binds(both)[0] == "Read from 10 to 320 1/s, and the yield stress; faster, the law is extrapolated."
    assert binds(alone)[0] == "Read from 10 to 320 1/s; beyond, the law is extrapolated."


@pytest.mark.slow
def test_the_section_says_it_once_with_the_rates_of_the_job():
    made = study()
    section = validity.section(made)
    (table,) = (one for one in section.blocks if getattr(one, "name", "") == "validity")
    rate = next(row for row in table.rows if row[0] == "shear rate")
    said = " ".join([table.note, *(getattr(one, "text", "") for one in section.blocks)])
    assert said.count("interpolated") == 1
    assert "Outside the ranges read" not in said
    assert (
        f"The job of the plan asks for {rate[-1]}; {made.fit.covered_words}. It stays inside the rates and conditions that the readings cover."
        in said
    )
    running = next(
        row for one in forces.section(made).blocks for row in getattr(one, "rows", ()) if row[0] == "force to run"
    )
    assert f"asks for {rate[-1]}; {made.fit.covered_words}" in str(running[-1]), "as its own interval says"
