"""What a fit knows of an extruder travels with its law: friction, barrel drag, bore, slip; and what is typed stays so."""

import warnings
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.fitting.predictions import interval
from rheokit.nomenclature import with_limits
from rheokit.units import mm

pytestmark = [
    pytest.mark.filterwarnings("ignore::rheokit.ExtrapolationWarning"),  # the barrel is slower than any row
    pytest.mark.filterwarnings("ignore::rheokit.ModelRangeWarning"),  # of single draws
]

TRUTH = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
FLOW = 23 * mm**3
RIG = rk.Extruder(
    barrel_diameter=26.7 * mm,
    fill_length=60 * mm,
    plunger_friction=7.0,
    nozzle=rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=20 * mm)),
)


def tip(diameter, length):
    return rk.Nozzle(rk.Cylinder(diameter=diameter * mm, length=length * mm))


def force(law, extruder):
    return extruder.plunger_force(law, flow_rate=FLOW)


def bench(
    random,
    tips=((2, 20), (2, 40)),
    drag=(1.0, 0.0),
    bore=0.0,
    speeds=(0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4),
    weak=1.0,
):
    """Return the runs of one synthetic syringe, and the syringe as it was: friction 7 ± 1 N, drawn, and 3 % of the force."""
    law = rk.Shifted(TRUTH, weak)
    true = replace(
        RIG,
        plunger_friction=7.0 + random.standard_normal(),
        barrel_drag=float(np.clip(drag[0] + drag[1] * random.standard_normal(), 0.0, 1.0)),
    )
    bores = {size: float(np.exp(bore * random.standard_normal())) for size in tips}
    runs = []
    for size in tips:
        fill = 60 if len(runs) % 2 == 0 else 25
        real = replace(true, fill_length=fill * mm, nozzle=tip(size[0] * bores[size], size[1]))
        told = replace(RIG, fill_length=fill * mm, nozzle=tip(*size), barrel_drag=drag[0])
        flow = np.array(speeds) * mm * RIG.area
        read = real.plunger_force(law, flow) * np.exp(0.03 * random.standard_normal(len(flow)))
        runs.append(
            rk.ForceRun(
                extruder=told,
                flow_rate=flow,
                force=read,
                relative_uncertainty=0.03,
                apparatus="syringe",
                bore_uncertainty=bore,
                barrel_drag_uncertainty=drag[1],
            )
        )
    asked = replace(true, nozzle=tip(tips[0][0] * bores[tips[0]], tips[0][1]))
    return law, runs, asked


KINDS = {
    "two lands": {},
    "short wide tip": {"tips": ((4, 6), (4, 12))},
    "weak paste": {"weak": 0.1},
    "barrel drag uncertain": {"drag": (0.5, 0.2)},
    "bore uncertain": {"bore": 0.02},
}


def quietly(*given, **named):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(*given, **named)


def held(kind, count, ask):
    """Return the share of benches of a kind whose limits hold the force of the syringe as it is."""
    hits = 0
    for number in range(count):
        law, runs, real = bench(np.random.default_rng([11, number]), **KINDS[kind])
        low, high = ask(quietly(rk.HerschelBulkley, *runs), replace(RIG, nozzle=runs[0].extruder.nozzle))
        hits += bool(low <= force(law, real) <= high)
    return hits / count


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_limits_of_a_force_hold_it(kind):
    """20 synthetic syringes of each kind, friction, drag and bores drawn from what is stated of them.

    Where 95 % are held, fewer than 16 of 20 are so in 0.3 % of such counts.
    """
    share = held(kind, 20, lambda fit, rig: interval(fit, force, 0.95, rig)[1:3])  # without its checks
    assert share >= 0.8, share


@pytest.fixture(scope="module")
def fit():
    """A bench whose friction, drag and bores are all uncertain."""
    _, runs, _ = bench(np.random.default_rng(5), drag=(0.5, 0.2), bore=0.02)
    return quietly(rk.HerschelBulkley, *runs)


TIP = tip(1.6, 8)  # of no run


def asked(fit, **given):
    return fit.interval(force, extruder=replace(RIG, nozzle=TIP, barrel_drag=0.5, **given))


def as_fitted(fit, words, key, unit, scale=1.0):
    """Return what is said of a number of the apparatus: as the table of estimates has it."""
    ends = (scale * one for one in (fit.nuisance[key], *fit.table.loc[key, ["low", "high"]]))
    return f"{words} {with_limits(*ends, unit, before='')}"


@pytest.mark.slow
def test_the_extruder_of_the_bench_comes_with_what_the_fit_knows(fit):
    """Kind: exact. The quantity is handed the fitted friction, drag and bore, and the value is that of it."""
    seen = []
    fit.interval(lambda law, rig: seen.append(rig) or force(law, rig), extruder=replace(RIG, barrel_drag=0.5))
    first = seen[0]
    assert first.plunger_friction == fit.nuisance["plunger_friction[syringe]"] != 7.0
    assert first.barrel_drag == fit.nuisance["barrel_drag[syringe]"] != 0.5
    assert first.nozzle.bore == pytest.approx(2 * mm * fit.nuisance["bore_factor[2 mm x 20 mm]"], rel=1e-12)
    assert first.nozzle.bore != 2 * mm
    found = fit.interval(force, extruder=replace(RIG, barrel_drag=0.5))
    assert found.value == pytest.approx(force(fit.law, first), rel=1e-12)
    said = [
        as_fitted(fit, "friction", "plunger_friction[syringe]", "N"),
        as_fitted(fit, "barrel drag", "barrel_drag[syringe]", "-"),
    ]
    bore = as_fitted(fit, "bore", "bore_factor[2 mm x 20 mm]", "m", 2 * mm)
    assert found.comment.endswith(f"; {', '.join(said)} and {bore} as fitted")


def test_what_is_not_typed_is_the_benchs(fit):
    """The friction left out is the same as the bench's own stated again, and as the apparatus named."""
    words = asked(fit).comment
    assert "as fitted" in words and "exact" not in words
    for given in (
        {"plunger_friction": 0.0},
        {"apparatus": "syringe"},
        {"plunger_friction": 0.0, "apparatus": "syringe"},
    ):
        assert asked(fit, **given) == asked(fit)


def test_what_is_typed_otherwise_stays_and_is_exact(fit):
    found = asked(fit, plunger_friction=12.0)
    assert found.comment.endswith("; its friction of 12 N is taken as exact, as typed: the bench states another, 7 N")
    drag = fit.nuisance["barrel_drag[syringe]"]
    rig = replace(RIG, nozzle=TIP, plunger_friction=12.0, barrel_drag=drag)
    assert found.value == pytest.approx(force(fit.law, rig), rel=1e-12)
    found = asked(fit, barrel_diameter=20 * mm)
    assert found.comment.endswith(
        "; its friction of 7 N and barrel drag of 0.5 are taken as exact: its barrel of 20 mm is not that of the bench, 26.7 mm"
    )


@pytest.mark.slow
def test_a_friction_that_nobody_doubted_is_said_to_be_exact():
    _, runs, _ = bench(np.random.default_rng(5))
    found = quietly(rk.HerschelBulkley, *[replace(run, plunger_friction_uncertainty=0.0) for run in runs])
    assert found.interval(force, extruder=RIG).comment.endswith(
        "; its friction of 7 N is taken as exact, as the bench states it"
    )
    left_out = found.interval(force, extruder=replace(RIG, plunger_friction=0.0))
    assert left_out.value == found.interval(force, extruder=RIG).value
    peaked = found.known(replace(RIG, plunger_friction=0.0, break_loose_friction=6.0))
    assert peaked.at({}).break_loose_friction == 7.0
    assert peaked.words({}, found.limits).endswith(
        "its break-loose friction of 6 N is below its friction of 7 N, which is taken as the peak"
    )


@pytest.mark.parametrize("above", [0.9, 1.02])
def test_a_peak_of_friction_is_never_below_the_friction_as_fitted(fit, above):
    """Kind: exact. What was typed cannot contradict one of the draws: there the friction is the peak, as it is of the best."""
    friction = fit.nuisance["plunger_friction[syringe]"]
    peak = above * friction
    rig = replace(RIG, plunger_friction=0.0, barrel_drag=0.5, break_loose_friction=peak)
    best = fit.known(rig).at(fit.nuisance)
    assert best.break_loose_friction == max(peak, friction)
    law, drawn = fit.sample(rig, 300, seed=1)
    np.testing.assert_array_equal(drawn.break_loose_friction, np.maximum(peak, drawn.plunger_friction))
    assert np.any(drawn.break_loose_friction > peak) and np.any(drawn.break_loose_friction < 1.02 * peak)
    found = fit.interval(lambda law, rig: rig.start_force(law), extruder=rig)
    assert found.value == pytest.approx(best.start_pressure(fit.law) * best.area + max(peak, friction), rel=1e-12)
    low, high = np.quantile(drawn.start_force(law), [0.025, 0.975])
    assert low == pytest.approx(found.low, rel=0.08) and high == pytest.approx(found.high, rel=0.04)
    said = f"; its break-loose friction of {peak:.3g} N is below its friction of {friction:.3g} N, which is taken as the peak"
    assert found.comment.endswith(said) is (above < 1)
    material = rk.Material.of(fit, batch_spread=0.0)
    rig = replace(DRIVEN, plunger_friction=0.0, break_loose_friction=peak)
    case = rk.Case.of(material, rig, JOB)
    assert (said[2:] in case.about_extruder) is (above < 1)
    axes = {"print_speed": [JOB.print_speed], "part_height": [10 * mm]}
    assert rk.region_map(material, rig, JOB, axes=axes, draws=60).probability.size == 1


def test_where_nothing_is_known_of_an_extruder_it_says_so():
    rates = np.geomspace(5, 200, 8)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=TRUTH.shear_stress(rates), relative_uncertainty=0.05)
    found = quietly(rk.HerschelBulkley, curve)
    assert found.interval(force, extruder=RIG).comment.endswith(
        "; its friction of 7 N and barrel drag of 1 are taken as exact: no reading is of its force"
    )
    assert found.interval(force, extruder=replace(RIG, fill_length=0.0)).comment.endswith(
        "; its friction of 7 N is taken as exact: no reading is of its force"
    )


def test_an_extruder_inside_a_quantity_of_the_law_alone_is_said_to_be_exact(fit):
    rig = replace(RIG, nozzle=TIP)
    assert fit.interval(lambda law: force(law, rig)).comment.endswith(
        "; friction of 7 N taken as exact, and drag and bore with it: hand the extruder over, extruder="
    )
    assert "exact" not in fit.interval(lambda law: law.shear_stress(10.0)).comment
    with pytest.raises(rk.DataError) as told:
        fit.interval(force)
    assert str(told.value) == (
        "interval: the quantity takes law and extruder, and no extruder was given; add extruder=, the one that it is asked of."
    )


@pytest.mark.slow
def test_with_two_extruders_the_name_decides():
    _, runs, _ = bench(np.random.default_rng(5))
    _, others, _ = bench(np.random.default_rng(6))
    others = [
        replace(run, apparatus="big syringe", extruder=replace(run.extruder, plunger_friction=9.0)) for run in others
    ]
    found = quietly(rk.HerschelBulkley, *runs, *others)
    assert found.interval(force, extruder=RIG).comment.endswith(
        "; its friction of 7 N and barrel drag of 1 are taken as exact: the readings come from syringe and big syringe; say "
        "which it is with apparatus="
    )
    for name in ("syringe", "big syringe"):
        friction = as_fitted(found, "friction", f"plunger_friction[{name}]", "N")
        named = found.interval(force, extruder=replace(RIG, plunger_friction=0.0, apparatus=name))
        assert named.comment.endswith(f"; {friction} as fitted")
    with pytest.raises(rk.DataError) as told:
        found.interval(force, extruder=replace(RIG, apparatus="pump"))
    assert str(told.value) == (
        "Extruder: apparatus = 'pump' is none of this fit; it has syringe, big syringe. Give the name that the bench gives it, "
        "or leave it out."
    )


@pytest.mark.slow
def test_slip_goes_with_the_land_that_was_read():
    slip = rk.Slip(coefficient=2e-6, threshold=500.0)
    runs = []
    for diameter in (1.2, 2.0, 3.0):
        rig = replace(RIG, nozzle=tip(diameter, 20), slip=slip)
        flow = np.geomspace(3, 300, 7) * mm**3
        told = replace(rig, slip=None)
        runs.append(
            rk.ForceRun(
                extruder=told,
                flow_rate=flow,
                force=rig.plunger_force(TRUTH, flow),
                relative_uncertainty=0.01,
                slip="fitted",
            )
        )
    found = quietly(rk.HerschelBulkley, *runs)
    with_slip = found.interval(force, extruder=RIG)
    assert with_slip.comment.endswith("and slip in the land as fitted")
    assert with_slip.value == pytest.approx(force(TRUTH, replace(RIG, slip=slip)), rel=0.02)
    assert with_slip.value < 0.95 * force(TRUTH, RIG)
    other = found.interval(force, extruder=replace(RIG, nozzle=TIP))
    assert other.comment.endswith("; no slip in its land: the slip that was fitted is of other lands")
    own = found.interval(force, extruder=replace(RIG, slip=slip))
    assert "slip" not in own.comment


# --- the same in draws, materials, cases and maps -------------------------------------------------------------------


def test_joint_draws_of_law_and_extruder_give_the_same_limits(fit):
    """Kind: two methods. Profile limits and quantiles of joint draws differ by a few per cent of the force."""
    rig = replace(RIG, barrel_drag=0.5)
    law, drawn = fit.sample(rig, 2000, seed=1)
    assert drawn.plunger_friction.shape == drawn.nozzle.bore.shape == law.yield_stress.shape == (2000, 1, 1)
    found = fit.interval(force, extruder=rig)
    low, high = np.quantile(force(law, drawn), [0.025, 0.975])
    assert low == pytest.approx(found.low, rel=0.02) and high == pytest.approx(found.high, rel=0.02)
    apart = np.quantile(force(law, rig), [0.025, 0.975])
    assert np.ptp(apart) > 1.5 * (high - low), "drawn apart, errors that the force has told of each other count twice"


DRIVEN = replace(
    RIG, barrel_drag=0.5, drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25), pressure_rating=1e6
)
JOB = rk.PrintJob(print_speed=10 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.25, bore_error=0.1)


def test_a_case_of_a_material_has_the_extruder_as_the_fit_knows_it(fit):
    """Kind: exact. Flow and line are set to the bore as stated; force and pressure are of the bore as fitted."""
    material = rk.Material.of(fit, batch_spread=0.0)
    case = rk.Case.of(material, DRIVEN, JOB)
    known = fit.known(DRIVEN).at(fit.nuisance)
    assert case.nominal_bore == 2 * mm and case.bore == known.nozzle.bore != 2 * mm
    assert case.force == pytest.approx(known.plunger_force(fit.law, case.flow_rate), rel=1e-12)
    assert case.about_extruder == fit.known(DRIVEN).words(fit.nuisance, fit.limits)
    law, drawn = fit.sample(DRIVEN, 500, 3)
    normals = rk.sampling.Normals(500, 3)
    cloud = case.drawn(material.draws(500, 3), normals, material.rig(DRIVEN, 500, 3))
    np.testing.assert_allclose(cloud.force, drawn.plunger_force(law, case.flow_rate), rtol=1e-12)
    some = cloud.rows(slice(100, 200), 500)
    np.testing.assert_array_equal(some.force, cloud.force[100:200])
    other = replace(case, extruder=replace(case.extruder, nozzle=tip(1.6, 20)))
    assert other.bore == 1.6 * mm, "another tip is not the one that was read"


def test_a_map_draws_the_extruder_with_the_law(fit):
    """Kind: exact. The share of draws whose force the drive has, counted one draw at a time."""
    material = rk.Material.of(fit, batch_spread=0.0)
    law, drawn = fit.sample(DRIVEN, 400, 2)
    flow = JOB.flow_rate(2 * mm)
    forces = drawn.plunger_force(law, flow)[:, 0, 0]
    has = float(np.median(forces))
    weak = replace(DRIVEN, drive=rk.ScrewDrive(torque=has * 2 * mm / (2 * np.pi * 0.25), lead=2 * mm, efficiency=0.25))

    class Exact(type(rk.LIMITS["drive force"])):
        model_error = 0.0

    axes = {"print_speed": [JOB.print_speed], "part_height": [10 * mm]}
    found = rk.region_map(material, weak, JOB, [Exact()], axes=axes, draws=400, seed=2)
    assert found.probability[0, 0] == pytest.approx(0.5, abs=0.01)
    typed = replace(weak, plunger_friction=12.0)
    known = fit.known(typed).at(fit.nuisance_draws(400, 2)).plunger_force(law, flow)[:, 0, 0]
    found = rk.region_map(material, typed, JOB, [Exact()], axes=axes, draws=400, seed=2)
    assert found.probability[0, 0] == pytest.approx(np.mean(known <= has), abs=0.01)


@pytest.mark.slow
def test_limits_by_joint_draws_hold_the_force():
    """20 synthetic syringes with uncertain bores: the quantiles of joint draws, as materials and pages show them."""

    def drawn(fit, rig):
        return np.quantile(force(*fit.sample(rig, 2000, 0)), [0.025, 0.975])

    assert held("bore uncertain", 20, drawn) >= 0.8
