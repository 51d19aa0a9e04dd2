"""A material of a law that depends on temperature, water and age: its paste, draws, ranges, maps, and the grams of water."""

import re
import warnings
from dataclasses import replace

import numpy as np
import pytest
from test_conditions_in_fits import HEATED, PASTE, SERIES, generator, quietly, series, three_temperatures

import rheokit as rk
from rheokit.units import hour, mm

ZERO = 273.15  # °C in K


@pytest.fixture(scope="module")
def fit():
    return quietly(SERIES, *series(generator(11)))


@pytest.fixture(scope="module")
def material(fit):
    return rk.Material.of(fit)


def test_the_paste_takes_slope_and_water_from_its_law(fit, material):
    paste = material.paste
    assert (paste.water_content, paste.water_slope) == (1.0, fit.law.water_slope)
    assert material.table.index.is_unique
    assert (material.water_range, material.age_range) == ((0.9, 1.1), (hour, 24 * hour))
    assert material.temperature_range is None
    moved = paste.at_water(1.06)
    assert moved.yield_stress == pytest.approx(paste.yield_stress * np.exp(-0.06 * fit.law.water_slope), rel=1e-12)
    assert moved.at_water(1.0).yield_stress == pytest.approx(paste.yield_stress, rel=1e-12)
    stiffer = paste.stiffer(1.2).at_water(1.06)
    assert stiffer.yield_stress == pytest.approx(1.2 * moved.yield_stress, rel=1e-12)
    assert stiffer.stiffer(0.5).at_water(0.95).yield_stress == pytest.approx(0.6 * paste.at_water(0.95).yield_stress)


def test_slopes_are_drawn_with_their_law(material):
    drawn = material.draws(500, 3)
    assert np.array_equal(drawn.water_slope, drawn.law.effects["water_slope"])
    near, far = (np.std(np.log(drawn.at_water(u).yield_stress)) for u in (1.0, 1.3))
    assert far > 1.3 * near
    other = rk.Material.of(quietly(SERIES, *series(generator(11))), water_content=1.06)
    assert other.paste.yield_stress == pytest.approx(material.paste.at_water(1.06).yield_stress, rel=1e-6)
    assert other.draws(500, 3).yield_stress == pytest.approx(drawn.at_water(1.06).yield_stress, rel=1e-6)


def test_a_paste_of_another_water_than_its_law_is_refused():
    with pytest.raises(
        rk.DataError,
        match=re.escape("Paste: water_content = 1.05, but its law is at 1; give law.at(water_content=...)"),
    ):
        rk.Paste(law=PASTE, water_content=1.05)


def test_a_map_of_the_water_axis_is_a_map_of_points():
    """Kind: exact. With draws, each with a slope of its own."""
    extruder = rk.Extruder(
        nozzle=rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=10 * mm)),
        barrel_diameter=20 * mm,
        fill_length=60 * mm,
        plunger_friction=4.0,
        drive=rk.HandDrive(),
    )
    job = rk.PrintJob(print_speed=10 * mm, layer_height=mm, line_width=1.8 * mm, part_height=20 * mm)
    dense = rk.Material.of(quietly(SERIES, *series(generator(11))), density=1100.0)
    waters, bores = np.array([0.92, 1.0, 1.08]), np.array([1.2, 1.6, 2.0]) * mm
    asked = {"limits": ["line holds", "hand force"], "draws": 300, "seed": 4}
    whole = rk.region_map(dense, extruder, job, axes={"water_content": waters, "bore": bores}, **asked)
    point = rk.Material.of(quietly(SERIES, *series(generator(11))), density=1100.0, water_content=waters[2])
    alone = rk.region_map(point, extruder, job, axes={"bore": bores, "layer_height": np.array([mm])}, **asked)
    for name in asked["limits"]:
        here, there = (np.broadcast_to(one.margins[name], one.shape) for one in (whole, alone))
        assert here[:, 2] == pytest.approx(there[0], rel=1e-6), (name, here, there)
    assert whole.probability[:, 2] == pytest.approx(alone.probability[0], abs=1e-9)
    assert np.ptp(whole.probability) > 0.1


# --- at a condition -------------------------------------------------------------------------------------------------


def test_outside_what_was_read_is_extrapolated(fit, material):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert material.law_at(water_content=1.05, age=6 * hour).yield_stress > 0
    with pytest.warns(rk.ExtrapolationWarning) as told:
        material.law_at(water_content=1.3, age=100 * hour)
    assert str(told[0].message) == (
        "Material.law_at: u = 1.3 is outside the readings, u = 0.9 to 1.1; 100 h is outside the readings, 1 to 24 h: extrapolated."
    )
    with pytest.warns(
        rk.ExtrapolationWarning, match=re.escape("extrapolated: u = 1.3 is outside the readings, u = 0.9 to 1.1")
    ):
        found = fit.interval(lambda law: law.at(water_content=1.3).shear_stress(10.0))
    assert found.extrapolated
    assert not fit.interval(lambda law: law.at(water_content=1.07).shear_stress(10.0)).extrapolated


def test_below_the_gel_point_there_is_no_law():
    dope = rk.Paste(law=HEATED(0.92, 42e3), gel_temperature=ZERO + 31)
    with pytest.raises(rk.DataError) as refused:
        dope.law_at(temperature=ZERO + 27)
    assert str(refused.value) == (
        "Paste.law_at: temperature = 27 °C is below the gel point, 31 °C: there the paste sets, and the law of the liquid says nothing of "
        "it. Ask above the gel point, or keep the nozzle warmer."
    )
    with pytest.warns(rk.ModelRangeWarning, match="temperature = 33 °C is within 3 K of the gel point, 31 °C"):
        dope.law_at(temperature=ZERO + 33)
    assert dope.law_at(temperature=ZERO + 34).shear_stress(1.0) == pytest.approx(0.92 / 0.9198 * 1.624216, rel=1e-6)
    assert dope.law_at(temperature=ZERO + np.array([27.0, 34.0])).shear_stress(1.0).shape == (2,)


def test_a_heated_material_knows_the_temperatures_that_were_read():
    found = rk.Material.of(quietly(HEATED, three_temperatures(generator(12))), gel_temperature=ZERO + 31)
    assert found.temperature_range == pytest.approx((ZERO + 38, ZERO + 60))
    with pytest.warns(rk.ExtrapolationWarning, match="70 °C is outside the readings, 38 to 60 °C: extrapolated"):
        found.law_at(temperature=ZERO + 70)
    with pytest.raises(rk.DataError, match="below the gel point"):
        found.law_at(temperature=ZERO + 20)


# --- grams of water -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("batch", ["next", "median"])
def test_the_grams_of_water_have_the_interval_of_the_fit(fit, batch):
    """Kind: independent. Fieller's limits of slope and level together against the profile of the mass itself, which knows no straight line."""
    law = rk.water.WaterLaw.of(fit, age=24 * hour, batch=batch)
    read = law.correction(0.5, water_content=0.95, stress_wanted=400.0)

    def grams(law):
        return 0.5 / 1.95 * np.log(law.at(water_content=0.95, age=24 * hour).yield_stress / 400.0) / law.water_slope

    profile = fit.interval(grams, batch=batch)
    assert read.mass == pytest.approx(profile.value, rel=1e-6)
    assert (read.low, read.high) == pytest.approx((profile.low, profile.high), abs=0.04 * (profile.high - profile.low))


def test_a_water_law_of_a_fit_is_its_line(fit):
    law = rk.water.WaterLaw.of(fit, age=hour)
    for u in (0.92, 1.08):
        assert law.yield_stress(u) == pytest.approx(fit.law.at(water_content=u, age=hour).yield_stress, rel=1e-9)
    assert (law.low, law.high) == fit.limits("water_slope")
    assert law.water_range == (0.9, 1.1)
    stress, low, high = law.band(1.1)
    with warnings.catch_warnings(action="ignore"):
        there = fit.interval(lambda law: law.at(water_content=1.1, age=hour).yield_stress, batch="next")
    assert (stress, low, high) == pytest.approx(there[:3], rel=0.02)


def test_a_correction_names_its_age_and_doubts_one_that_was_not_read(fit):
    def asked(now=None, **at):
        return rk.water.WaterLaw.of(fit, **at).correction(0.5, water_content=0.95, stress_wanted=400.0, stress_now=now)

    read, left_out, old, warm = asked(age=24 * hour), asked(), asked(age=100 * hour), asked(temperature=ZERO + 21)
    assert read.by.endswith("of the same line at an age of 24 h") and not read.doubts and not read.extrapolated
    assert left_out.by.endswith("of the same line at an age of 5 h, the reference") and not left_out.doubts
    assert old.doubts == ("100 h is outside the readings, 1 to 24 h: extrapolated.",) and old.extrapolated
    assert warm.doubts == ("21 °C changes nothing: the law does not depend on the temperature.",)
    assert not asked(600.0, age=100 * hour).doubts  # the slope is of any age, and the yield stress was read


def test_a_law_without_water_or_slope_gives_no_water_law():
    with pytest.raises(rk.DataError, match="the law of this fit does not depend on the water; fit one that does"):
        rk.water.WaterLaw.of(quietly(HEATED, three_temperatures(generator(12))))


def test_a_material_at_a_condition_is_drawn_there(fit, material):
    """Kind: exact. Best values and draws alike, the modulus with the water."""
    stiff = rk.Material.of(fit, modulus=30e3)
    there = stiff.at(water_content=1.05, age=24 * hour)
    law = fit.law.at(water_content=1.05, age=24 * hour)
    assert there.paste.yield_stress == pytest.approx(law.yield_stress, rel=1e-12)
    assert there.paste.modulus == pytest.approx(30e3 * np.exp(-0.05 * fit.law.water_slope), rel=1e-12)
    assert there.paste.water_content == 1.05
    drawn, at_reference = there.draws(300, 5), stiff.draws(300, 5)
    slope, exponent = (at_reference.law.effects[name] for name in ("water_slope", "age_exponent"))
    age = (24 / 5) ** exponent
    assert drawn.yield_stress == pytest.approx(at_reference.yield_stress * np.exp(-0.05 * slope) * age, rel=1e-9)
    assert there.at(age=5 * hour).paste.yield_stress == pytest.approx(
        stiff.paste.at_water(1.05).yield_stress, rel=1e-12
    )
    assert (
        there.table.value["yield_stress"] == stiff.table.value["yield_stress"]
    )  # what was fitted is told at the reference
    assert stiff.origin("water_content") == "assumed: the reference of the law"


@pytest.mark.slow
def test_the_grams_of_water_hold_in_95_of_100():
    """Kind: simulation. 120 series, and each time the batch that is made next."""
    held = 0
    for seed in range(120):
        random = generator(4000 + seed)
        fit = quietly(SERIES, *series(random))
        with warnings.catch_warnings(action="ignore"):
            law = rk.water.WaterLaw.of(fit, age=24 * hour)
        found = law.correction(0.5, water_content=0.95, stress_wanted=350.0)
        mixed = PASTE.at(water_content=0.95, age=24 * hour).yield_stress * np.exp(0.1 * random.standard_normal())
        needed = 0.5 / 1.95 * np.log(mixed / 350.0) / PASTE.water_slope
        held += found.low < needed < found.high
    assert 0.89 <= held / 120 <= 0.995, held


def test_water_and_age_that_were_not_read_are_told_in_verdict_map_and_window(fit):
    """Kind: exact. Outside what was read is advice, and no failure."""
    extruder = rk.Extruder(
        nozzle=rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=10 * mm)), barrel_diameter=20 * mm, fill_length=60 * mm,
        plunger_friction=4.0, drive=rk.HandDrive(),
    )  # fmt: skip
    job = rk.PrintJob(print_speed=10 * mm, layer_height=mm, line_width=1.8 * mm, part_height=5 * mm)
    with warnings.catch_warnings(action="ignore"):
        wet = rk.Material.of(fit, density=1100.0, water_content=1.3)
        read = rk.Material.of(fit, density=1100.0)
        old = read.at(age=100 * hour)
    inside = rk.judge(rk.Case.of(read, extruder, job))
    assert {*inside.loc[["waters read", "ages read"]].verdict} == {"inside"}
    for material, name, said in (
        (
            wet,
            "waters read",
            "water content (dry basis) against the readings: 1.3; at least 0.9 and at most 1.1 allowed",
        ),
        (old, "ages read", "age against the readings: 100 h; at least 1 h and at most 24 h allowed"),
    ):
        here = rk.Case.of(material, extruder, job)
        row = rk.judge(here).loc[name]
        assert (row.verdict, row.words) == ("outside the readings", said)
        told = rk.verdict(here)
        assert f"Outside the readings: {said}. Read a batch of that" in told and "Inside every" not in told
    axes = {"water_content": np.array([0.8, 0.9, 1.0, 1.1, 1.2]), "bore": np.array([1.6 * mm])}
    found = rk.region_map(read, extruder, job, ["line holds", "waters read"], axes)
    assert found.extrapolated[0].tolist() == [True, False, False, False, True]
    with warnings.catch_warnings(action="ignore"):
        window = rk.window(read, extruder, job, "water_content", 0.95, 1.3, limits=["line holds", "waters read"])
        narrow = rk.window(read, extruder, job, "water_content", 0.95, 1.05, limits=["line holds", "waters read"])
    assert window.high > 1.1
    assert "Extrapolated in part of it: water content (dry basis) against the readings." in window.words
    assert "Extrapolated" not in narrow.words


def test_a_condition_on_which_the_law_does_not_depend_is_not_dropped_silently():
    """Kind: exact. What was read at that condition alone is told of it, and of no other."""
    warm = [replace(bench, specimen=replace(bench.specimen, temperature=ZERO + 21)) for bench in series(generator(11))]
    stated = quietly(SERIES, *warm)

    def asked(fit, kelvin):
        with warnings.catch_warnings(action="ignore"):
            return fit.interval(lambda law: law.at(temperature=kelvin, water_content=1.0).shear_stress(10.0))

    found = asked(stated, ZERO + 27)
    assert found.extrapolated
    assert found.comment.startswith(
        "27 °C changes nothing: the law does not depend on the temperature, read at 21 °C; asks for 10"
    )
    there = asked(stated, ZERO + 21)
    assert not there.extrapolated and "changes nothing" not in there.comment
    unsaid = asked(quietly(SERIES, *series(generator(11))), ZERO + 21)
    assert unsaid.extrapolated and unsaid.comment.startswith(
        "21 °C changes nothing: the law does not depend on the temperature; asks for 10"
    )
