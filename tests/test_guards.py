"""Numbers and things that a slip of the hand makes are never taken without a word; each of these was.

Kind       exact: whole messages. Likely ranges are common practice, no source.
"""

import warnings

import numpy as np
import pandas as pd
import pytest

import rheokit as rk
from rheokit.corrections import bagley, mooney, rabinowitsch, two_lengths
from rheokit.paste.water import WaterLaw
from rheokit.units import kPa, mL, mm

LAW = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
NOZZLE = rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=8 * mm))
BARREL = dict(barrel_diameter=26.7 * mm, fill_length=80 * mm, nozzle=NOZZLE)
RIG = rk.Extruder(**BARREL, plunger_friction=6.0)
RUN = dict(extruder=RIG, flow_rate=[10e-9, 20e-9], force=[40.0, 46.0])
CURVE = rk.FlowCurve(
    shear_rate=[0.1, 1.0, 10.0, 100.0], shear_stress=[700.0, 850.0, 1150.0, 1850.0], relative_uncertainty=0.03
)
PASTE = rk.Paste(law=LAW, density=1110.0, grain_size=0.1 * mm, largest_grain=0.2 * mm)
JOB = rk.PrintJob(print_speed=15 * mm, layer_height=1 * mm, line_width=2 * mm)
DOUBTED = ". It is computed with as it stands: check value and unit."
A_LAW = "give a FlowLaw: such as rk.HerschelBulkley(...), or that of a fit, fit.law (an interval: ask fit.interval)."
A_RUN = "is no PressureRun or ForceRun; give one, a list of them, a bench or a fit"
BEFORE = ", or the table or the correction before"


def usual(value, low, high, meant=""):
    return f"{value} is outside {low} to {high}, where it usually lies{meant}{DOUBTED}"


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (lambda: rk.AirDrive(3), usual("AirDrive: pressure = 3 Pa", "20 kPa", "2 MPa", " (did you mean 3*bar?)")),
        (lambda: rk.AirDrive(1e-9), usual("AirDrive: pressure = 1e-09 Pa", "20 kPa", "2 MPa")),
        (lambda: rk.Paste(law=LAW, modulus=20), usual("Paste: modulus = 20 Pa", "500 Pa", "10 MPa", " (did you mean 20*kPa?)")),
        (lambda: rk.HandDrive(500.0), usual("HandDrive: force = 500 N", "1", "150 N")),
        (
            lambda: rk.ForceRun(**RUN, relative_uncertainty=2),
            usual("syringe force: relative_uncertainty = 2", "0", "0.5", " (did you mean 2 %? That is 0.02)"),
        ),
        (
            lambda: rk.LoadedPlate(volume=5 * mL, force=9.81, radius=[25 * mm], relative_uncertainty=np.array([3.0])),
            usual("loaded plate: relative_uncertainty = 3", "0", "0.5", " (did you mean 3 %? That is 0.03)"),
        ),
        (
            lambda: rk.Specimen(water_content=82.0),
            usual("Specimen: water_content = 82", "0", "20", " (did you mean 82 %? That is 0.82)"),
        ),
        (
            lambda: rk.PrintJob(print_speed=15 * mm, layer_height_to_bore=60, line_width=2 * mm),
            usual("PrintJob: layer_height_to_bore = 60", "0.1", "3", " (did you mean 60 %? That is 0.6)"),
        ),
        (
            lambda: rk.PressureRun(nozzle=NOZZLE, flow_rate=[10e-9, 20e-9], pressure=[90.0, 150.0]),
            f"pressure run: pressure = 150 Pa at the most, where a column usually goes beyond 300 Pa (did you mean 150*kPa?){DOUBTED}",
        ),
        (
            lambda: rabinowitsch(pd.DataFrame({"apparent_shear_rate": [1.0, 5.0, 20.0], "wall_shear_stress": [0.5, 0.8, 1.2]})),
            "rabinowitsch: wall_shear_stress = 1.2 Pa at the most, where a column usually goes beyond 3 Pa (did you mean "
            f"1.2*kPa?){DOUBTED}",
        ),
    ],
)  # fmt: skip
def test_doubts_in_full(act, message):
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        act()
    assert [(one.category, str(one.message)) for one in caught] == [(rk.UnlikelyWarning, message)]


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (lambda: rk.Paste(law=None), f"Paste: law is None; {A_LAW}"),
        (lambda: rk.Paste(law=415), f"Paste: law is 415; {A_LAW}"),
        (lambda: rk.Shifted(415), f"Shifted: law is 415; {A_LAW}"),
        (
            lambda: rk.Case(paste=LAW, extruder=RIG, job=JOB),
            "Case: paste is a HerschelBulkley; give a Paste: rk.Paste(law=rk.HerschelBulkley(...), density=...).",
        ),
        (
            lambda: rk.Case(paste=PASTE, extruder=NOZZLE, job=JOB),
            "Case: extruder is a Nozzle; give an Extruder: rk.Extruder(barrel_diameter=..., fill_length=..., nozzle=...).",
        ),
        (
            lambda: rk.Case(paste=PASTE, extruder=RIG, job=None),
            "Case: job is None; give a Job: rk.PrintJob(print_speed=..., ...), or for a fibre "
            "rk.FibreJob(throughput=..., winding_speed=..., gap=...).",
        ),
        (
            lambda: rk.Material(paste=LAW),
            "Material: paste is a HerschelBulkley; give a Paste: rk.Paste(law=rk.HerschelBulkley(...), density=...).",
        ),
        (
            lambda: rk.Material(paste=PASTE, spreads=0.3),
            "Material: spreads is 0.3; give a dict: such as {'density': 0.02}.",
        ),
        (
            lambda: rk.Extruder(**BARREL, slip=1e-7),
            "Extruder: slip is 1e-07; give a Slip: rk.Slip(coefficient=..., threshold=...).",
        ),
        (
            lambda: rk.ForceRun(**{**RUN, "extruder": NOZZLE}),
            "syringe force: extruder is a Nozzle; give an Extruder: rk.Extruder(barrel_diameter=..., fill_length=..., nozzle=...).",
        ),
        (
            lambda: rk.PressureRun(nozzle=None, flow_rate=[10e-9], pressure=[9e4]),
            "pressure run: nozzle is None; give a Nozzle: rk.Nozzle(rk.Cylinder(...)).",
        ),
        (
            lambda: rk.Bench(None, [CURVE]),
            "Bench: specimen is None; give a Specimen: rk.Specimen(paste=..., water_content=..., ...).",
        ),
        (lambda: rk.Bench(rk.Specimen(), CURVE), "Bench: a FlowCurve is no list of records; give one such as [FlowCurve(...)]."),
        (lambda: bagley(None), f"bagley: None {A_RUN}."),
        (lambda: bagley([RIG]), f"bagley: an Extruder {A_RUN}."),
        (lambda: two_lengths(5), f"two_lengths: 5 {A_RUN}."),
        (lambda: mooney("runs"), f"mooney: 'runs' {A_RUN}{BEFORE}."),
        (lambda: rabinowitsch(None), f"rabinowitsch: None {A_RUN}{BEFORE}."),
    ],
)  # fmt: skip
def test_the_wrong_thing_is_refused_at_once(act, message):
    with pytest.raises(TypeError) as caught:
        act()
    assert str(caught.value) == message


CYLINDER = dict(height=120 * mm, diameter=120 * mm, density=1110.0)


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda: rk.Extruder(**BARREL, plunger_friction=6.0, break_loose_friction=2.0),
            "Extruder: break_loose_friction = 2 N is below plunger_friction, 6 N, and the peak at the start never is; check "
            "which is which.",
        ),
        (
            lambda: RIG.start_force(LAW, break_loose_friction=2.0),
            "Extruder.start_force: break_loose_friction = 2 N is below plunger_friction, 6 N, and the peak at the start never "
            "is; check which is which.",
        ),
        (
            lambda: rk.ForceRun(**RUN, plunger_friction_uncertainty=-5.0),
            "syringe force: plunger_friction_uncertainty = -5 N must be zero or more, and finite.",
        ),
        (
            lambda: rk.ForceRun(**RUN, barrel_drag_uncertainty=np.nan),
            "syringe force: barrel_drag_uncertainty = nan must be zero or more, and finite.",
        ),
        (
            lambda: rk.CylinderSlump(**CYLINDER, slump=[60 * mm, 130 * mm]),
            "cylinder slump: slump = 130 mm in row 2 is larger than the height, 120 mm; is that the unit, or are the two swapped?",
        ),
        (
            lambda: rk.FrustumSlump(height=120 * mm, top_diameter=40 * mm, bottom_diameter=90 * mm, density=1110.0, slump=[0.2]),
            "frustum slump: slump = 200 mm in row 1 is larger than the height, 120 mm; is that the unit, or are the two swapped?",
        ),
        (
            lambda: rk.FrustumSlump(height=120 * mm, top_diameter=90 * mm, bottom_diameter=40 * mm, density=1110.0, slump=[0.05]),
            "frustum slump: top_diameter = 90 mm is larger than bottom_diameter, 40 mm; are they swapped, or is the unit of one "
            "wrong?",
        ),
        (
            lambda: rk.fit(rk.HerschelBulkley, CURVE, fixed={"flow_index": np.nan}),
            "fit: fixed value of flow_index = nan cannot be; give a number from 0.02 to 5.",
        ),
        (
            lambda: rk.fit(rk.HerschelBulkley, CURVE, fixed={"flow_index": 42}),
            "fit: fixed value of flow_index = 42 cannot be; give a number from 0.02 to 5.",
        ),
        (
            lambda: rk.fit(rk.HerschelBulkley, CURVE, fixed={"consistency": [1.0, 2.0]}),
            "fit: fixed value of consistency = array([1., 2.]) is not one number; give one above 0 Pa·sⁿ.",
        ),
        (
            lambda: rk.fit(rk.HerschelBulkley, CURVE, start={"yield_stress": np.inf}),
            "fit: start of yield_stress = inf Pa cannot be; give a number of 0 Pa or more.",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(act, message):
    with pytest.raises(rk.DataError) as caught:
        act()
    assert str(caught.value) == message


def test_a_bound_above_the_mould_stays_a_bound():
    assert rk.CylinderSlump(**CYLINDER, slump=[130 * mm], censored=[1]).censored[0] == 1


def test_a_number_of_the_drive_that_no_bench_has_stands_before_the_verdict():
    with pytest.warns(rk.UnlikelyWarning):
        weak = rk.Extruder(**BARREL, drive=rk.AirDrive(3), pressure_rating=1000 * kPa)
    said = rk.verdict(rk.Case(paste=PASTE, extruder=weak, job=JOB))
    assert said.startswith(
        "Not to be relied on: pressure = 3 Pa is outside 20 kPa to 2 MPa, where it usually lies (did you"
    )


def test_a_verdict_on_one_limit_says_that_it_is_of_one_alone():
    case = rk.Case(paste=PASTE, extruder=RIG, job=JOB)
    assert rk.verdict(case, "clog") == (
        "Asked of clog alone, which is inside: bore against grains: 1.6 mm; at least 0.6 mm allowed (a factor 2.7 of room). "
        "Never raise pressure to clear a clog: vent, remove, clear."
    )


@pytest.fixture(scope="module")
def fit():
    return rk.fit(rk.HerschelBulkley, CURVE)


def test_a_quantity_without_a_number_is_said_to_have_none(fit):
    found = fit.interval(lambda law: float("nan"))
    assert np.isnan([found.value, found.low, found.high]).all()
    assert found.comment.startswith(
        "the quantity gave no finite number, so there is none to bound: check what it computes"
    )
    half = fit.interval(lambda law: np.array([np.nan, 1.0]) * law.shear_stress(1.0))
    assert np.isnan(half.low[0]) and half.low[1] < half.value[1] < half.high[1]


def test_every_level_is_judged(fit):
    for act, name in (
        (lambda level: fit.limits("flow_index", level), "limits"),
        (lambda level: fit.band(lambda law: law.shear_stress(1.0), level), "band"),
    ):
        with pytest.raises(rk.DataError) as caught:
            act(95)
        assert (
            str(caught.value) == f"FitResult.{name}: level = 95 must be from 0 to 1 (did you mean 95 %? That is 0.95)."
        )
    with pytest.raises(rk.DataError, match="'flow_indx' is no parameter of this fit; did you mean 'flow_index'"):
        fit.limits("flow_indx")


def test_a_yield_stress_outside_the_water_contents_read_is_extrapolated():
    law = WaterLaw.fit([0.7, 0.8, 0.95], [1500.0, 1050.0, 610.0])
    with pytest.warns(rk.ExtrapolationWarning) as caught:
        law.yield_stress(3.0)
    assert str(caught[0].message) == (
        "WaterLaw.yield_stress: u = 3 is outside the water contents the slope was fitted to, 0.7 to 0.95: extrapolated."
    )
    assert law.yield_stress(0.8) == law.line(0.8)


@pytest.mark.parametrize(("volume", "passed"), [(4 * mL, True), (24 * mL, True), (26 * mL, False), (40 * mL, False)])
def test_a_plate_that_has_hardly_squeezed_is_a_caution(volume, passed):
    """By hand: π·25.1³ mm³ are 49.7 mL, and 4, 24, 26 and 40 mL give radii of 12.4, 2.07, 1.91 and 1.24 gaps."""
    plate = rk.LoadedPlate(volume=volume, force=9.81, radius=[25.1 * mm])
    (row,) = plate.questions(LAW, {})
    assert row.passed == passed
    assert row.question == ("gap of the plate as usual" if passed else "plate squeezed far enough")
    if volume == 40 * mL:
        assert row.comment == (
            "loaded plate: radius 25.1 mm on 40 mL means a gap of 20.2 mm; the radius is 1.24 gaps, at least 2 are wanted. A "
            "blob that has hardly spread tells only a bound. Is the volume right, was the mass of the plate counted, is the "
            "radius a radius? If so, take more load or less paste."
        )
    bound = rk.LoadedPlate(volume=volume, force=9.81, radius=[25.1 * mm], censored=[-1])
    assert bound.questions(LAW, {})[0].passed
