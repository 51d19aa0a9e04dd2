"""Terms that no worked example reaches: drawn errors, what errs together, windows, friction, degrees of freedom.

Kind       independent: by hand, from Hagen and Poiseuille, and from the table of Student's t.
Trust      t(0.975; 4) = 2.776 from memory, as every table of Student's t has it; the rest is arithmetic, written out.

Each was red with the fault in that `test_faults.py` puts in.
"""

from dataclasses import replace
from math import exp, hypot, log, pi

import numpy as np
import pandas as pd
import pytest
from worked import worked_case

import rheokit as rk
from rheokit.bench.runs import runs_of
from rheokit.bench.usual import usual_readings
from rheokit.corrections import bagley
from rheokit.corrections.errors import errors_of, own_scatter, size_of
from rheokit.fibre.thinning import thread_speeds
from rheokit.fitting import consequence
from rheokit.fitting.run_factors import independent
from rheokit.limits import LIMITS, Case
from rheokit.limits.case import BORE, GAP, SPEED
from rheokit.limits.judgement import judge
from rheokit.part.drying.wall import DryingWall
from rheokit.paste.material import Material
from rheokit.paste.water import WaterLaw
from rheokit.sampling import Normals

pytestmark = pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")

STUDENT = 2.776  # t(0.975; 4)
ERRS = {"layer_height_error": 0.13e-3, "speed_error": 0.037, "bore_error": 0.053}
SYRINGE = {
    "bore": 1.7e-3, "length": 0.013, "barrel_diameter": 0.0213, "fill_length": 0.057, "barrel_drag": 0.6,
    "layer_height": 1.1e-3, "line_width": 2.3e-3, "print_speed": 0.019,
}  # fmt: skip
PUSHED = 28915.4150  # [Pa], to run: worked out with the limits, from the formula in 18 digits
AREA = (2.3 - 1.1) * 1.1 + pi * 1.1**2 / 4  # of the line [mm2]
FLOW = 0.019 * AREA * 1e-6  # [m3/s]


def drawn(*names, **given):
    """Return a worked case of which the errors of these names are drawn, each one standard deviation up."""
    errors = {name: np.full((1, 1, 1), float(name in names)) for name in (GAP, SPEED, BORE)}
    return replace(worked_case(SYRINGE | ERRS | given), errors=errors)


# --- limits: what is kept free ----------------------------------------------------------------------------------------


def test_a_hard_limit_keeps_nothing_free_where_the_errors_are_drawn():
    """What is drawn is not allowed for a second time: ln(470/28.915415) with draws, less 1.959964 hypot(0.15, 0.17) without."""
    as_set = worked_case(SYRINGE | {"pressure_rating": 940e3, "stress_spread": 0.17})
    of_draws = as_set.drawn(as_set.paste, lambda name: np.zeros((1, 1, 1)))
    limit, room = LIMITS["rated pressure"], log(470e3 / PUSHED)
    assert limit.margin(as_set) == pytest.approx(room - 1.959964 * hypot(0.15, 0.17), rel=1e-6)
    assert limit.margin(of_draws) == pytest.approx(room, rel=1e-6)
    assert limit.margin(replace(of_draws, stress_spread=0.17)) == pytest.approx(room, rel=1e-6)


def test_gas_behind_the_plunger_keeps_nothing_free_for_the_batch():
    """ln(940/2/210): a regulator does not know what paste it pushes."""
    gas = worked_case({"supply_pressure": 210e3, "pressure_rating": 940e3, "stress_spread": 0.17})
    assert LIMITS["supplied pressure"].margin(gas) == pytest.approx(log(940 / 2 / 210), rel=1e-9)


def test_a_batch_spread_of_few_batches_is_kept_free_by_students_t():
    """Five batches that spread by 0.2 leave 2.776 of it free and not 1.959964; with the theory's 0.15 in quadrature."""
    here = worked_case(SYRINGE | {"pressure_rating": 940e3})
    few = Case.of(Material(paste=here.paste, batch_spread=0.2, batch_freedom=4), here.extruder, here.job)
    kept = hypot(1.959964 * 0.15, STUDENT * 0.2)
    assert LIMITS["rated pressure"].margin(few) == pytest.approx(log(470e3 / PUSHED) - kept, abs=2e-4)


@pytest.mark.parametrize(
    ("names", "shared"),
    [
        (("drive force", "start after rest", "hand force", "rated pressure"), "pressure"),
        (("layer height", "line width"), "line geometry"),
    ],
)
def test_limits_of_one_theory_err_together(names, shared):
    """They ask for one and the same column of errors, so that they are wrong at once, not one by one."""
    for name in names:
        asked = []
        drive = {"hand_force": 41.0} if name == "hand force" else {"torque": 0.11, "lead": 1.8e-3, "efficiency": 0.23}
        here = worked_case(SYRINGE | drive | {"pressure_rating": 940e3})
        LIMITS[name].margin(here, lambda key, asked=asked: asked.append(key) or np.zeros((2, 1, 1)))
        assert asked == [shared], name


# --- limits: errors of hand and machine -------------------------------------------------------------------------------

STIFF, STRONG = {"modulus": 23e3, "density": 1130.0}, {"yield_stress": 45.0, "density": 1130.0}
BRIDGE = {"span": 5.7e-3}
LAID = AREA / exp(0.037)  # area of the line where the head runs 3.7 % fast [mm2]


@pytest.mark.parametrize(
    ("name", "result", "errs", "given", "expected"),
    [
        # (G/4.2 rho g)^(1/4) D^(3/4), then (sqrt3 tau D/rho g)^(1/2): of a bore that is exp(0.053) wider
        ("span", "high", BORE, STIFF | BRIDGE, 7.01890662e-3 * exp(0.75 * 0.053)),
        ("span", "high", BORE, STRONG | BRIDGE, 4.09073478e-3 * exp(0.5 * 0.053)),
        ("layer height", "value", GAP, {}, (1.1 + 0.13) / 1.7),
        ("layer height", "value", BORE, {}, 1.1 / (1.7 * exp(0.053))),
        ("line width", "value", BORE, {}, 2.3 / (1.7 * exp(0.053))),
        # A/h + h (1 - pi/4)
        ("line width", "value", SPEED, {}, (LAID / 1.1 + 1.1 * (1 - pi / 4)) / 1.7),
        ("line width", "value", GAP, {}, (AREA / 1.23 + 1.23 * (1 - pi / 4)) / 1.7),
    ],
)
def test_a_drawn_error_moves_what_it_is_an_error_of(name, result, errs, given, expected):
    case = drawn(errs, **given)
    assert np.squeeze(getattr(LIMITS[name], result)(case)) == pytest.approx(expected, rel=1e-7)


WIDER = 1.7e-3 * exp(0.053)  # [m]
KNOWN = {"known_bore": (1.7e-3, exp(0.053))}  # the same error, told by readings


def longer_by(length, value, ways, law=None, slip=None):
    """Return how much more (Pa) is needed with a land that is so much longer: ends, step and barrel cancel."""
    found = []
    for land in (0.013, 0.013 + length):
        case = worked_case(SYRINGE | ERRS | {"length": land} | (ways if ways is KNOWN else {}))
        case = case if ways is KNOWN else drawn(BORE, length=land)
        paste = case.paste if law is None else replace(case.paste, law=law)
        case = replace(case, paste=paste, extruder=replace(case.extruder, slip=slip))
        found.append(float(np.squeeze(getattr(case, value))))
    return found[1] - found[0]


BOTH_WAYS = pytest.mark.parametrize("ways", [BORE, KNOWN], ids=["drawn", "read"])


@BOTH_WAYS
def test_the_pressure_is_that_of_the_bore_as_it_is(ways):
    """Hagen and Poiseuille: 128 mu L Q/(pi D^4) of a land 7 mm longer, in the wider bore, at the flow that was set."""
    expected = 128 * 83.0 * 0.007 * FLOW / (pi * WIDER**4)
    assert longer_by(0.007, "pressure", ways, rk.Newtonian(viscosity=83.0)) == pytest.approx(expected, rel=1e-6)


@BOTH_WAYS
def test_with_slip_too_the_pressure_is_that_of_the_bore_as_it_is(ways):
    """32 Q/(pi D^3) = tau/mu + 8 b (tau - tau_s)/D, solved for tau; 4 tau L/D of a land 7 mm longer."""
    slip = rk.Slip(coefficient=2.3e-6, threshold=140.0)
    slips = 8 * 2.3e-6 / WIDER
    stress = (32 * FLOW / (pi * WIDER**3) + slips * 140.0) / (1 / 83.0 + slips)
    found = longer_by(0.007, "pressure", ways, rk.Newtonian(viscosity=83.0), slip)
    assert stress > 140.0
    assert found == pytest.approx(4 * stress * 0.007 / WIDER, rel=1e-6)


@BOTH_WAYS
def test_the_start_pressure_is_that_of_the_bore_as_it_is(ways):
    """4 tau_ys L/D of a land 7 mm longer, 1.4 times 310 Pa at rest."""
    expected = 4 * 1.4 * 310.0 * 0.007 / WIDER
    assert longer_by(0.007, "start_pressure", ways) == pytest.approx(expected, rel=1e-9)


def test_the_effort_of_a_hand_is_called_by_all_of_the_force():
    """Robinson et al. 2020: easy to 12 N. The paste takes pi/4 0.0213^2 28915.415 = 10.3 N, the thumb gives 17.6 N."""
    here = worked_case(SYRINGE | {"plunger_friction": 7.3, "hand_force": 41.0})
    assert pi / 4 * 0.0213**2 * PUSHED < 12 < 12 + 5.6 < float(here.force)
    assert LIMITS["hand force"].remark(here) == "considerable effort: 12 to 38 N"


# --- corrections ------------------------------------------------------------------------------------------------------


def test_bagley_takes_the_friction_off_what_is_left_at_no_length():
    """Invented forces, by hand: 500 Pa at the wall, an end of 3 diameters, so 4*500*(L/D + 3) Pa on the barrel, and 8 N."""
    runs = []
    for ratio in (5, 10, 20):
        nozzle = rk.Nozzle(rk.Cylinder(diameter=2e-3, length=ratio * 2e-3))
        extruder = rk.Extruder(barrel_diameter=0.02, fill_length=0.0, nozzle=nozzle, plunger_friction=8.0)
        pressures = np.array([1.0, 1.2, 1.5]) * 4 * 500 * (ratio + 3)
        force = pressures * pi / 4 * 0.02**2 + 8.0
        runs.append(rk.ForceRun(extruder=extruder, flow_rate=np.array([1, 2, 4]) * 1e-8, force=force))
    table = bagley(runs).table
    assert table.wall_shear_stress.to_numpy() == pytest.approx([500, 600, 750], rel=1e-9)
    assert table.rest_pressure.to_numpy() == pytest.approx([6000, 7200, 9000], rel=1e-9)
    assert table.end_correction.to_numpy() == pytest.approx(3.0, rel=1e-9)


def test_a_bore_errs_three_times_in_the_rate_and_once_in_the_stress():
    """32 Q/(pi D^3) and p D/4L: of 3 % of the bore 9 % and 3 %, opposite, the same in both rows; 13 % and 5 % are stated.

    So the rows share 0.09^2 and 0.03^2, rate and stress -0.09*0.03, and each row has all it states: 0.13^2 and 0.05^2.
    """
    table = pd.DataFrame({
        "diameter": 2e-3, "bore_share": 0.03,
        "apparent_shear_rate": [10.0, 40.0], "apparent_shear_rate_uncertainty": [1.3, 5.2],
        "wall_shear_stress": [500.0, 800.0], "wall_shear_stress_uncertainty": [25.0, 40.0],
    })  # fmt: skip
    found = errors_of(table)
    assert found.rate @ found.rate.T == pytest.approx(np.array([[0.0169, 0.0081], [0.0081, 0.0169]]))
    assert found.stress @ found.stress.T == pytest.approx(np.array([[0.0025, 0.0009], [0.0009, 0.0025]]))
    assert found.rate @ found.stress.T == pytest.approx(np.full((2, 2), -0.0027))
    assert size_of(found.stress) == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("residuals", "shared", "squares"),
    [
        ([[0.01, -0.02, 0.02, -0.01], [0.03, -0.03, -0.03, 0.03]], False, 46e-4),
        # less 0.02, -0.02, -0.01, 0.01 that the three lines have in common, squares are 4, 4 and 8 of 1e-4
        (
            [[0.03, -0.03, -0.02, 0.02], [0.01, -0.01, -0.02, 0.02], [0.02, -0.02, 0.01, -0.01]],
            True,
            16e-4,
        ),
    ],
)
def test_scatter_about_lines_has_the_freedom_that_the_lines_leave(residuals, shared, squares):
    """Two lines of four readings, two numbers fitted each: freedom (4 - 2)*2 = 4, as of three less what they share."""
    expected = np.sqrt(squares / 4) * STUDENT / 1.959964
    assert own_scatter(np.array(residuals), 2, shared) == pytest.approx(expected, rel=2e-4)


# --- bench tests ------------------------------------------------------------------------------------------------------

CONE, PLATE = {"mass": 0.083, "apex_angle": pi / 6}, {"volume": 6.1e-6, "force": 8.7}


@pytest.mark.parametrize(
    ("test", "sides", "limits"),
    [
        # 5 to 20 mm: 4.9 is at most 5, 20.1 at least 20
        (rk.FallCone(penetration=[4.9e-3, 5.1e-3, 19.9e-3, 20.1e-3], **CONE), [-1, 0, 0, 1], [5e-3, 5.1e-3, 19.9e-3, 20e-3]),
        # radius of three gaps: R^3 = 3*6.1e-6/pi, 17.992 mm
        (rk.LoadedPlate(radius=[17.9e-3, 18.1e-3], **PLATE), [-1, 0], [17.992e-3, 18.1e-3]),
    ],
    ids=["fall cone", "loaded plate"],
)  # fmt: skip
def test_a_reading_outside_the_window_is_a_bound_and_no_number(test, sides, limits):
    side, limit = test.bounds
    assert list(side) == sides
    assert limit == pytest.approx(limits, rel=1e-4)
    assert len(test.yield_stresses()) == sides.count(0)


LAW = rk.HerschelBulkley(yield_stress=640.0, consistency=190.0, flow_index=0.45)
FLOWS = (1.7e-8, 9e-8)


def die(bore=2.1e-3, length=0.019):
    return rk.Nozzle(rk.Cylinder(diameter=bore, length=length))


def pressure_run(pressure=(64818.3959, 99682.1650), **size):
    return rk.PressureRun(nozzle=die(**size), inlet_diameter=0.0213, flow_rate=FLOWS, pressure=pressure)


def force_run():
    extruder = rk.Extruder(
        barrel_diameter=0.0213, fill_length=0.057, barrel_drag=0.6, plunger_friction=7.3, nozzle=die()
    )
    return rk.ForceRun(extruder=extruder, flow_rate=FLOWS, force=(32.0404132, 44.5950205))


@pytest.mark.parametrize("run", [pressure_run, force_run])
def test_readings_of_the_law_lie_on_its_curve(run):
    """Pressures and forces of the worked examples, in 18 digits: 640 + 190 rate^0.45 is the stress at each rate."""
    rates, stresses = run().curve_points(LAW, {})
    assert stresses == pytest.approx(640 + 190 * rates**0.45, rel=1e-6)
    narrower = 32 * np.array(FLOWS) / (pi * 2.1e-3**3)  # apparent rates, below those at the wall
    assert np.all(rates > narrower)


@pytest.mark.parametrize(
    ("sizes", "expected"),
    [
        ([{}], 0.10),
        ([{}, {}], 0.10),
        ([{}, {"bore": 1.6e-3}], 0.10),  # two bores do not tell the end loss from the wall
        ([{}, {"bore": 1.6e-3, "length": 0.031}], 0.10),
        ([{}, {"length": 0.031}], 0.05),  # two lengths of one bore do
        ([{}, {"length": 0.031}, {"bore": 1.6e-3}], 0.05),
    ],
)
def test_two_lengths_of_one_bore_halve_the_usual_error_of_a_pressure_run(sizes, expected):
    """Common practice, no source: 10 % for the formula of the end loss, 5 % where lengths tell it."""
    assert rk.PressureRun.usual_model_error([pressure_run(**size) for size in sizes]) == expected


def test_the_usual_error_of_a_syringe_is_a_tenth():
    """Common practice, no source."""
    assert rk.ForceRun.usual_model_error([force_run()]) == 0.10


# --- how well a number is known, and where a theory ends -----------------------------------------------------------------


def test_a_shifted_law_gives_flow_and_stress_of_one_wall_rate():
    """A liquid of 3 Pa s, 1.3 times as stiff at 2.1 times the rate: η = 3*1.3*2.1 = 8.19 Pa s, and in a tube rate and apparent rate are one."""
    apparent, stress = rk.Shifted(rk.Newtonian(viscosity=3.0), 1.3, 2.1).flow_at_wall_rate(7.0)
    assert (apparent, stress) == pytest.approx((7.0, 8.19 * 7.0), rel=1e-9)


def wall(**other):
    """Return a wall that dries, with 40 % solids and 10 % air by volume when fresh."""
    given = {
        "start_water": 0.6, "wet_solids": 0.4, "air_content": 0.1, "solid_density": 1500.0, "dry_density": 600.0,
        "dry_solids": 0.79, "equilibrium_water": 0.01, "final_water": 0.05, "fluxes": (2e-5, 1e-5, 4e-5), "depth": 3e-3,
        "diffusivity": 3e-10,
    }  # fmt: skip
    return DryingWall(**given | other)


def test_solids_cannot_take_the_room_of_the_air_there_is():
    """Solids fill 0.4/(0.4 + 0.1) = 80 % at the most, where no water is left: covered until it is dry enough, 1.05/1.6."""
    assert wall().covered_until[1] == pytest.approx(1.05 / 1.6, rel=1e-9)


def test_a_diffusivity_that_was_not_measured_is_known_within_its_usual_spread():
    """Spread of ln 0.8 (common practice, no source): a factor exp(1.959964*0.8) = 4.79690 to either side."""
    time, low, high = wall().diffusion_time
    assert (time / low, high / time) == pytest.approx((4.79690, 4.79690), rel=1e-5)


def test_the_band_of_a_water_line_widens_from_its_centre_by_its_breadth():
    """Water 0.5, 0.7, 1.2: mean 0.8, standard deviation sqrt((0.09 + 0.01 + 0.16)/3) = 0.294392; the band there is slope's half width times it."""
    law = WaterLaw.fit([0.5, 0.7, 1.2], [900.0, 500.0, 120.0])
    stress, low, high = law.line_band(0.8)
    assert (log(high / stress), log(stress / low)) == pytest.approx([0.294392 * (law.high - law.slope)] * 2, rel=1e-5)


def test_drawn_properties_scatter_by_their_spread():
    """Of 4000 draws, the same every time, the standard deviation of ln is that of 4000 normals times the spread."""
    case = worked_case(SYRINGE)
    material = Material(paste=case.paste, spreads={"modulus": 0.30}, batch_spread=0.0)
    scatter = np.std(np.log(material.draws(4000, 0).modulus))
    assert scatter == pytest.approx(0.30 * np.std(Normals(4000, 0)("modulus")), rel=1e-6)


def test_a_rough_curve_has_the_apparent_rates_of_hagen_and_poiseuille():
    """4Q/(π R³) with R = 0.8 mm and Q = 20 mm3/s: 49.7359 1/s."""
    run = rk.PressureRun(
        nozzle=rk.Nozzle(rk.Cylinder(diameter=1.6e-3, length=0.02)), flow_rate=[2e-8], pressure=[5e4], read="pressure"
    )
    assert run.rough_curve()[0] == pytest.approx([4 * 20 / (pi * 0.8**3)], rel=1e-9)


def test_a_slump_is_read_between_a_tenth_and_four_fifths_of_the_height():
    """Common practice, no source."""
    mould = rk.CylinderSlump(height=0.1, diameter=0.1, density=1100.0, slump=[0.03])
    assert mould.window == pytest.approx((0.01, 0.08), rel=1e-12)


def test_what_a_hard_limit_may_reach_lies_above_its_value():
    """28.915 kPa times exp(1.959964 hypot(0.15, 0.17)) = 45.1 kPa."""
    words = judge(worked_case(SYRINGE | {"pressure_rating": 940e3, "stress_spread": 0.17})).loc[
        "rated pressure", "words"
    ]
    assert "up to 45.1 kPa in 97.5 of 100 batches" in words


def curve(rates):
    return rk.FlowCurve(shear_rate=rates, shear_stress=np.full(len(rates), 20.0))


def test_settings_that_are_kept_to_a_tenth_are_one():
    """Of 1, 1.08, 1.02 and 1.09 none turns back: the largest step is 7.9 % in logarithms."""
    assert runs_of(curve([1, 1.08, 1.02, 1.09, 1.0, 3, 10, 30])).ways == {1: "up"}


def test_a_random_order_turns_at_two_of_three_rates():
    """These 16 rates turn 9 times, of which 2/3 (16 - 2) = 9.3 are expected."""
    order = [7, 2, 9, 4, 5, 14, 1, 11, 15, 3, 0, 12, 13, 6, 8, 10]
    assert runs_of(curve(2.0 ** np.array(order))).ways == {1: ""}


def test_a_stiff_cylinder_is_expected_to_see_the_static_yield_stress():
    """By hand: c t = sqrt3*1.3*600/(1150*9.81*0.1) = 1.198 is above 1, so that nothing slumps; 600 Pa alone would give 0.3 mm."""
    stiff = rk.HerschelBulkley(yield_stress=600.0, consistency=180.0, flow_index=0.4)
    assert usual_readings(rk.KINDS["cylinder slump"], stiff) == pytest.approx([0.0], abs=1e-12)


def test_a_plate_is_expected_to_carry_the_weight_of_its_load():
    """By hand: 1 kg is 9.81 N; at R = 24 mm on 5 mL and rough plates 9.81/(pi R^2)/(pi sqrt3/4 + 2/3 R/h) = 758 Pa."""
    radius, gap = 0.024, 5e-6 / (pi * 0.024**2)
    stress = 9.81 / (pi * radius**2) / (pi * 3**0.5 / 4 + 2 / 3 * radius / gap)
    law = rk.HerschelBulkley(yield_stress=stress, consistency=200.0, flow_index=0.4)
    assert usual_readings(rk.KINDS["loaded plate"], law) == pytest.approx([radius], rel=1e-6)


def test_residuals_of_a_run_are_made_independent():
    """Kind: exact. The covariance of what is turned is 1 + s² g gᵀ, and that of what comes out 1."""
    slopes, spread = np.array([3.0, -1.0, 20.0, 0.5]), 0.2
    turned = independent(np.eye(4), slopes, spread)
    covariance = np.eye(4) + spread**2 * np.outer(slopes, slopes)
    assert turned.T @ covariance @ turned == pytest.approx(np.eye(4), abs=1e-12)


def test_leaving_out_a_reading_moves_the_stress_as_a_second_fit_says():
    """Kind: independent. Linear against a fit without the reading."""
    rates = np.geomspace(0.1, 1000, 12)
    stress = 20 * rates**0.4 * np.where(np.arange(12) == 11, 1.3, 1.0)
    readings = rk.FlowCurve(shear_rate=rates, shear_stress=stress, relative_uncertainty=0.02)
    result, without = (rk.fit(rk.PowerLaw, one) for one in (readings, readings.where(np.arange(12) < 11)))
    moved, _ = consequence.moves_without(result, [11])
    again, _ = consequence.moves_to(result, without.law)
    assert moved == pytest.approx(again, rel=1e-4)
    assert abs(moved) > 0.05


# --- a law without a stress, and one with hardly any -----------------------------------------------------------------


@pytest.mark.filterwarnings("error::RuntimeWarning")
def test_a_law_of_no_stress_is_refused_and_of_hardly_any_computes():
    """Newton's tube: τ_w = η γ_a; a root term alone, τ = τ_y √(γ/γ_c) above a tiny yield stress, has no rate for 1 Pa that is finite."""
    with pytest.raises(
        rk.DataError, match="yield_stress and final_viscosity are both 0, so it has no stress at any rate"
    ):
        rk.ThreeComponent(yield_stress=0.0, critical_rate=1.0, final_viscosity=0.0)
    liquid = rk.ThreeComponent(yield_stress=0.0, critical_rate=1.0, final_viscosity=1e-300)
    assert liquid.wall_shear_stress(3.0) == pytest.approx(3e-300, rel=1e-9)
    tiny = rk.ThreeComponent(yield_stress=1e-300, critical_rate=1.0, final_viscosity=0.0)
    assert (tiny.apparent_shear_rate(1.0), tiny.shear_rate(1.0)) == (np.inf, np.inf)
    assert 1e-300 < tiny.wall_shear_stress(1.0) < 3e-300
    assert 0 < tiny.cone_stress_integral(1e-6, 2e-3, 1e-3) < 1e-296


# --- laws at a condition ------------------------------------------------------------------------------------------------

PASTY = {"yield_stress": 310.0, "plastic_viscosity": 6.2}


@pytest.mark.parametrize(
    ("law", "there", "expected"),
    [
        # 6.2 exp[42000/8.314462618 (1/307.15 - 1/318.15)] 3 beside 310: the yield stress does not move
        pytest.param(
            rk.heated(rk.Bingham)(**PASTY, activation_energy=42e3),
            {"temperature": 307.15},
            310 + 18.6 * 1.76583595,
            id="heated",
        ),
        pytest.param(
            rk.watered(rk.Bingham, 0.9)(**PASTY, water_slope=3.2),
            {"water_content": 1.05},
            328.6 * exp(-0.48),
            id="watered",
        ),
        pytest.param(
            rk.aged(rk.Bingham, 3600.0)(**PASTY, age_exponent=0.12), {"age": 86400.0}, 328.6 * 24**0.12, id="aged"
        ),
    ],
)
def test_a_law_moves_with_temperature_water_and_age(law, there, expected):
    assert law.at(**there).shear_stress(3.0) == pytest.approx(expected, rel=1e-8)


def test_a_condition_that_is_not_asked_anew_stays():
    law = rk.aged(rk.watered(rk.Bingham, 0.9), 3600.0)(**PASTY, water_slope=3.2, age_exponent=0.12)
    there = law.at(water_content=1.05).at(age=86400.0)
    assert there.yield_stress == pytest.approx(310 * exp(-0.48) * 24**0.12, rel=1e-8)


RATES = np.array([0.3, 1.0, 3.0, 10.0, 30.0])


def watered_fit():
    """Return the fit of four batches at two waters, each off by a factor."""
    law = rk.watered(rk.Bingham, 1.0)(**PASTY, water_slope=3.2)
    benches = []
    for batch, u, off in (("A", 0.9, 1.05), ("B", 0.9, 0.93), ("C", 1.0, 1.09), ("D", 1.1, 0.96)):
        stress = off * law.at(water_content=u).shear_stress(RATES)
        curve = rk.FlowCurve(shear_rate=RATES, shear_stress=stress, relative_uncertainty=0.02)
        benches.append(rk.Bench(rk.Specimen(batch=batch, water_content=u), [curve]))
    return rk.fit(type(law), *benches)


def test_batches_that_tell_a_slope_tell_so_much_less_of_their_spread():
    """Four batches: one tells the level, one the slope."""
    assert watered_fit().batch_spread[1] == 4 - 1 - 1


def test_a_line_is_known_best_amid_the_waters_that_were_read():
    """The mean water of batches of equal weight: (0.9 + 0.9 + 1.0 + 1.1)/4."""
    found = rk.water.WaterLaw.of(watered_fit(), batch="median")
    assert found.centre == pytest.approx(0.975, abs=0.003)


def test_what_pulls_at_a_fibre_differs_by_its_weight_and_what_speeds_it_up():
    """By hand: F = 3 η Q v'/v + γ (π Q/v)^½ at both ends, F(0) - F(L) = ρ g ∫ Q/v dz - ρ Q (v_L - v_0)."""
    gap, flow_rate, viscosity, surface_tension, density = 0.013, 11e-9, 8.3, 0.047, 1130.0
    share = np.linspace(0.0, 1.0, 2001)
    speed, taut = thread_speeds(
        share, viscosity, flow_rate=flow_rate, bore=0.87e-3, winding_speed=0.113, gap=gap, surface_tension=surface_tension, density=density,
    )  # fmt: skip
    assert taut.all() and speed[[0, -1]] == pytest.approx([flow_rate * 4 / pi / 0.87e-3**2, 0.113], rel=1e-4)
    pulls = 3 * viscosity * flow_rate * np.gradient(np.log(speed), share * gap, edge_order=2)
    pulls += surface_tension * np.sqrt(pi * flow_rate / speed)
    weight = density * 9.81 * np.trapezoid(flow_rate / speed, share * gap)
    inertia = density * flow_rate * (speed[-1] - speed[0])
    assert inertia > 0.02 * weight, "so that both would be seen"
    assert pulls[0] - pulls[-1] == pytest.approx(weight - inertia, rel=2e-3)


@pytest.mark.parametrize(("waters", "reference"), [((0.95, 1.05, 1.15), 1.05), ((0.62, 0.71, 0.803), 0.7)])
def test_a_reference_is_as_round_as_a_tenth_of_the_range_allows(waters, reference):
    benches = [
        rk.Bench(rk.Specimen(water_content=u), [rk.FlowCurve(shear_rate=[1.0, 2.0], shear_stress=[3.0, 6.0])])
        for u in waters
    ]
    assert rk.over_conditions(rk.Newtonian, *benches).reference_water == reference
