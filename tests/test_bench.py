"""One contract for every bench test, found in the folder of bench tests: a new one is held to it the day it is written."""

import copy
import pickle
import warnings
from dataclasses import dataclass, fields, replace

import numpy as np
import pytest
from worked import bench_results, example_faults, examples_of, worked_record

import rheokit as rk
from rheokit.bench import KINDS
from rheokit.bench.base import Shared, nuisance, quantity_of
from rheokit.units import mL, mm

LAW = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
LAND = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=20 * mm))
TAPER = rk.Nozzle(
    rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
    rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
)
FLOWS = np.array([3.0, 30.0, 200.0]) * mm**3


def extruder(nozzle=LAND, **changes):
    dimensions = {"barrel_diameter": 26.7 * mm, "fill_length": 60 * mm, "plunger_friction": 8.0} | changes
    return rk.Extruder(nozzle=nozzle, **dimensions)


NEEDED = "the readings by name, or properties and 'spread of ...' each"


def law_for(kind):
    """Return the law of the first worked example of a kind."""
    return worked_record(KINDS[kind], examples_of(KINDS[kind], NEEDED)[0])[1]


def example(kind, **changes):
    """Return the record of the first worked example of a kind, its readings what `law_for` it predicts."""
    record, law = worked_record(KINDS[kind], examples_of(KINDS[kind], NEEDED)[0])
    record = replace(record, **{"relative_uncertainty": 0.02} | changes)
    return record if record.gives else replace(record, **{record.reads: record.predict(law)})


every_kind = pytest.mark.parametrize("kind", list(KINDS))
every_law_kind = pytest.mark.parametrize("kind", [kind for kind in KINDS if not KINDS[kind].gives])
every_property_kind = pytest.mark.parametrize("kind", [kind for kind in KINDS if KINDS[kind].gives])


@every_kind
def test_declares_itself(kind):
    cls = KINDS[kind]
    assert cls.kind == kind
    assert cls.formula
    assert cls.source
    assert cls.__doc__
    assert "Parameters" in cls.__doc__
    assert cls.artefacts, "say what goes wrong with it"
    assert cls.state in ("dynamic", "static")
    for f in fields(cls):
        if "column" in f.metadata or "dimension" in f.metadata:
            assert quantity_of(cls, f.name).unit


@every_kind
def test_worked_examples(kind):
    """Kind: independent. Numbers from outside the code, to 1e-6: each example names its source."""
    for one in examples_of(KINDS[kind], NEEDED):
        assert example_faults(one, bench_results(KINDS[kind], one)) == []
        assert set(KINDS[kind].gives) & set(one.expected) or one.given.get("read", KINDS[kind].reads) in one.expected


@every_kind
def test_readings_are_copied_and_frozen(kind):
    record = example(kind)
    for name in record.columns:
        with pytest.raises(ValueError, match="read-only"):
            getattr(record, name)[0] = 1.0
    assert record.where(np.ones(len(record.readings), bool)).table.equals(record.table)
    assert len(record.table) == len(record.readings)


@every_law_kind
def test_predicts_for_draws_as_for_one_law(kind):
    record = example(kind)
    laws = [LAW, rk.HerschelBulkley(400.0, 150.0, 0.5), rk.HerschelBulkley(0.0, 300.0, 0.3)]
    stacked = rk.HerschelBulkley(
        **{
            name: np.array([[law.values[name]] for law in laws])
            for name in ("yield_stress", "consistency", "flow_index")
        }
    )
    together = record.predict(stacked)
    assert together.shape == (3, len(record.readings))
    for row, law in zip(together, laws, strict=True):
        assert row == pytest.approx(record.predict(law), rel=1e-9)


@every_law_kind
def test_each_reading_is_predicted_at_its_own_condition(kind):
    """Two readings alike but for temperature and water, in one record and in two: of one law, and of draws."""
    record, law = example(kind), law_for(kind)
    made = rk.watered(rk.heated(rk.HerschelBulkley, 300.0), 1.0)
    effects = {"activation_energy": 30e3, "water_slope": 0.4}
    at = {"temperature": np.array([290.0, 315.0]), "water_content": np.array([0.9, 1.2])}
    alike = {name: np.repeat(getattr(record, name)[:1], 2) for name in record.columns}
    both = replace(record, **alike, **at)
    for values in (law.values, {name: value * np.array([[1.0], [0.9]]) for name, value in law.values.items()}):
        conditioned = made(**values, **effects)
        alone = [both.where([place == row for place in range(2)]).predict(conditioned) for row in range(2)]
        assert both.predict(conditioned) == pytest.approx(np.concatenate(alone, axis=-1), rel=1e-9)


@every_law_kind
def test_its_own_prediction_leaves_no_residual(kind):
    record = example(kind)
    numbers = record.bounds[0] == 0
    assert record.residuals(law_for(kind))[numbers] == pytest.approx(np.zeros(numbers.sum()), abs=1e-6)
    softer = rk.Shifted(law_for(kind), 0.98)
    assert np.any(np.abs(record.residuals(softer)) > 1e-3), "2 % on the law must show"


@every_law_kind
def test_yield_stress_read_back_is_the_one_that_was_put_in(kind):
    record = example(kind)
    found = record.yield_stresses()
    ratio = 1.3 if record.state == "static" else 1.0
    assert found == pytest.approx(np.full(len(found), ratio * law_for(kind).yield_stress), rel=1e-6)
    if not len(found) and len(record.bounds[0]) and record.bounds[0].any():
        pytest.fail("the example should lie in the window of its test")


@every_law_kind
def test_model_error_is_one_shared_factor_on_the_stress(kind):
    record = example(kind, model_error=0.2)
    key = f"model_factor[{kind}]"
    assert key in record.nuisances()
    assert ("criterion_factor" in record.nuisances()) == (not record.simple_shear)
    shifted = record.predict(law_for(kind), {key: 1.1, "criterion_factor": 1.0})
    assert shifted == pytest.approx(replace(record, model_error=0.0).predict(rk.Shifted(law_for(kind), 1.1)), rel=1e-9)


@every_law_kind
def test_fits_back(kind):
    record = example(kind)
    law, rates = law_for(kind), np.geomspace(1, 100, 8)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=law.shear_stress(rates), relative_uncertainty=0.02)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = rk.fit(rk.HerschelBulkley, curve, record).law
    assert found.yield_stress == pytest.approx(law.yield_stress, rel=1e-3)


@every_property_kind
def test_properties_are_those_of_a_paste_with_spread_and_origin(kind):
    found = example(kind).properties()
    assert found
    assert set(found) <= set(KINDS[kind].gives)
    for name, one in found.items():
        assert one.value > 0
        assert 0 < one.spread < 1 or name == "lean_factor"
        assert kind in one.origin
    apart = example(kind, model_error=0.3).properties()
    for name, one in found.items():
        assert apart[name].spread > one.spread or name in ("air_content", "lean_factor", "setting_exponent")


@every_property_kind
def test_a_test_of_properties_informs_no_law(kind):
    record, rates = example(kind), np.geomspace(1, 100, 8)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=LAW.shear_stress(rates), relative_uncertainty=0.02)
    found = rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(), [record, curve]))
    assert [test.kind for test in found.tests] == ["flow curve"]
    assert [test.kind for test in found.benches[0].tests] == [kind, "flow curve"]
    with pytest.raises(rk.DataError, match=f"no test says anything about the flow law \\({kind} alone\\); add one"):
        rk.fit(rk.HerschelBulkley, record)
    with pytest.raises(rk.DataError, match=f"{kind}: no flow law predicts it; it gives "):
        record.predict(LAW)
    assert not record.nuisances()
    with pytest.raises(rk.DataError, match=f"{kind}: {record.reads} is a bound in rows? 1"):
        replace(record, censored=-1)


# --- messages -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (
            lambda: rk.FlowCurve(shear_rate=[-0.2, 0, 4], shear_stress=[1, 2, 3]),
            "flow curve: shear_rate is not positive in 1 of 3 rows (row 1: -0.2 1/s); keep the others with "
            ".where(test.shear_rate > 0).",
        ),
        (
            lambda: rk.CylinderSlump(height=0.1, diameter=0.1, density=1100, slump=0),
            "cylinder slump: slump is not positive in 1 of 1 rows (row 1: 0 m); give uncertainty= in m, or the least that "
            "could be seen with censored=-1.",
        ),
        (
            lambda: rk.LoadedPlate(volume=5e-6, force=-9.81, radius=0.02, label="A"),
            "loaded plate 'A': force = -9.81 N must be positive.",
        ),
        (
            lambda: rk.FlowCurve(shear_rate=[1, 2, 3], shear_stress=[1, 2]),
            "flow curve: shear_stress has shape (2,); every column needs 3 values.",
        ),
        (
            lambda: rk.FlowCurve(shear_rate=[1, np.nan], shear_stress=[1, 2]),
            "flow curve: shear_rate in row 2 is nan 1/s; leave out rows that were not read.",
        ),
        (
            lambda: rk.PressureRun(
                nozzle=TAPER.segments and rk.Nozzle(TAPER.segments[0]), flow_rate=1e-8, pressure=1e5, slip="fitted"
            ),
            "pressure run: its last segment is a taper; slip and end correction can be fitted on a straight land only.",
        ),
        (
            lambda: rk.ForceRun(extruder=extruder(), flow_rate=1e-8, force=5.0),
            "syringe force: every force (5 N at most) is below the plunger friction (8 N), so no force is left for the paste; "
            "check the unit of either.",
        ),
        (
            lambda: rk.ForceRun(extruder=extruder(), flow_rate=1e-8, force=50.0, stroke=60.1),
            "syringe force: stroke reaches 60100 mm but the fill is only 60 mm long at the start; check the unit of either.",
        ),
    ],
)
def test_messages(make, words):
    with pytest.raises(rk.DataError) as caught:
        make()
    assert str(caught.value) == words


def test_fall_cone_refuses_an_angle_in_degrees():
    with pytest.raises(
        rk.DataError, match=r"apex_angle = 3438 degrees; a cone factor is known .* give the angle in radians"
    ):
        rk.FallCone(mass=0.06, apex_angle=60, penetration=0.0141)


# --- windows and bounds -------------------------------------------------------------------------------------------


def test_a_reading_outside_the_window_is_a_bound():
    slump = rk.CylinderSlump(height=0.1, diameter=0.1, density=1100, slump=[0.0, 0.004, 0.03, 0.09], uncertainty=1 * mm)
    side, limit = slump.bounds
    assert list(side) == [-1, -1, 0, 1]
    assert limit == pytest.approx([2 * mm, 4 * mm, 30 * mm, 80 * mm])
    stiff, soft = rk.Bingham(2000.0, 1.0), rk.Bingham(50.0, 1.0)
    assert slump.residuals(stiff)[0] == pytest.approx(np.sqrt(-2 * np.log(0.97725)), rel=1e-3)  # Φ(2)
    assert slump.residuals(soft)[0] > 30


def test_stated_bounds_enter_as_they_are():
    plate = rk.LoadedPlate(volume=5 * mL, force=9.81, radius=[0.03, 0.02], relative_uncertainty=0.02, censored=[-1, 1])
    assert plate.residuals(LAW) == pytest.approx([0, 0], abs=1e-3)
    assert np.all(plate.residuals(rk.Bingham(100.0, 1.0))[0] > 3)


# --- runs ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("nozzle", [LAND, TAPER, rk.Nozzle(TAPER.segments[0])], ids=["land", "taper and land", "taper"])
@pytest.mark.parametrize("stroke", [None, [0.0, 10 * mm, 30 * mm]])
def test_force_run_reads_what_the_extruder_predicts(nozzle, stroke):
    """Kind: independent. The channel of a run against the extruder, forwards and backwards."""
    for row, flow in enumerate(FLOWS):
        fill = 60 * mm - (0.0 if stroke is None else stroke[row])
        rig = extruder(nozzle, fill_length=fill)
        force = rig.plunger_force(LAW, flow)
        at = None if stroke is None else [stroke[row]]
        forwards = rk.ForceRun(extruder=extruder(nozzle), flow_rate=flow, force=force, stroke=at)
        backwards = rk.ForceRun(extruder=extruder(nozzle), flow_rate=flow, force=force, read="flow_rate", stroke=at)
        assert forwards.predict(LAW) == pytest.approx(force, rel=1e-12)
        assert backwards.predict(LAW) == pytest.approx(flow, rel=1e-8)


def test_weak_forces_move_nothing():
    run = rk.ForceRun(extruder=extruder(), flow_rate=[1e-9, 1e-9], force=[9.0, 60.0], read="flow_rate")
    assert run.predict(LAW)[0] == 0
    assert run.predict(LAW)[1] > 0


@pytest.mark.parametrize("threshold", [100.0, 900.0])
def test_slip_adds_its_velocity(threshold):
    """Kind: exact. Q = Q(no slip, τ_w) + π D²/4 V_s(τ_w) at the same wall stress; below yield the slip is all."""
    slip = {"slip_coefficient[die]": 2e-7, "slip_threshold[die]": threshold}
    stress = np.array([500.0, 700.0, 1500.0])
    pressure = 4 * stress * 20 / 2
    velocity = 2e-7 * np.maximum(stress - threshold, 0)
    flow = np.pi * (2 * mm) ** 3 / 32 * LAW.apparent_shear_rate(stress) + np.pi * (2 * mm) ** 2 / 4 * velocity
    seen = flow > 0
    run = {"nozzle": LAND, "apparatus": "die", "slip": "fitted", "flow_rate": flow[seen], "pressure": pressure[seen]}
    assert rk.PressureRun(**run).predict(LAW, slip) == pytest.approx(pressure[seen], rel=1e-9)
    assert rk.PressureRun(**run, read="flow_rate").predict(LAW, slip) == pytest.approx(flow[seen], rel=1e-8)


def test_end_correction_is_a_length_of_land():
    """Kind: exact. Bagley's form: 4 τ_w (L/D + e)."""
    run = rk.PressureRun(
        nozzle=LAND,
        flow_rate=FLOWS,
        pressure=[1e5] * 3,
        end_correction="fitted",
        apparatus="die",
        inlet_diameter=20 * mm,
    )
    longer = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=26 * mm))
    assert run.predict(LAW, {"end_correction[die]": 3.0}) == pytest.approx(longer.pressure_drop(LAW, FLOWS), rel=1e-12)


@pytest.mark.slow
@pytest.mark.parametrize("barrel", [None, 20 * mm, 2.012 * mm])
@pytest.mark.parametrize("read", ["pressure", "flow_rate"])
def test_a_doubtful_bore_may_outgrow_what_is_in_front_of_it(barrel, read):
    """Kind: exact. A joint of 2.01 mm on a tip of 2.00 mm ± 1 %: a trial bore of 2.02 mm makes both one tube, no step up."""
    joint = rk.Nozzle(rk.Cylinder(diameter=2.01 * mm, length=20 * mm), rk.Cylinder(diameter=2 * mm, length=4 * mm))
    tube = rk.Nozzle(rk.Cylinder(diameter=2.02 * mm, length=24 * mm))
    wide = None if barrel is None else max(barrel, 2.02 * mm)
    pressure = tube.pressure_drop(LAW, FLOWS, inlet_diameter=wide)
    given = {
        "flow_rate": FLOWS,
        "pressure": pressure,
        "read": read,
        "bore_uncertainty": 0.01,
        "relative_uncertainty": 0.02,
    }
    run = rk.PressureRun(nozzle=joint, inlet_diameter=barrel, **given)
    (key,) = run.nuisances()
    assert run.predict(LAW, {key: 1.01}) == pytest.approx(run.readings, rel=1e-8)
    draws = run.predict(LAW, {key: np.array([[0.98], [1.0], [1.01]])})
    assert draws[2] == pytest.approx(run.readings, rel=1e-8)
    assert draws[1] == pytest.approx(run.predict(LAW, {key: 1.0}), rel=1e-8)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = rk.fit(rk.HerschelBulkley, run)
    assert found.table.loc[key, "high"] > 1.015


def test_two_priors_under_one_key_are_refused():
    runs = [
        rk.ForceRun(extruder=extruder(plunger_friction=f), flow_rate=FLOWS, force=np.add([50.0, 60.0, 80.0], f))
        for f in (8.0, 9.0)
    ]
    with pytest.raises(rk.DataError, match=r"plunger_friction\[syringe force\] has two priors, 8 ± 1 and 9 ± 1 N"):
        rk.fit(rk.HerschelBulkley, *runs)


def test_what_is_shared_is_known_by_its_quantity_and_its_owner_and_is_equal_to_its_text():
    run = rk.PressureRun(
        nozzle=rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=20 * mm)), flow_rate=FLOWS, pressure=1e4 * np.arange(1, 1 + len(FLOWS)),
        apparatus="die", slip="fitted", bore_uncertainty=0.01,
    )  # fmt: skip
    keys = {key: (key.name, key.of) for key in run.nuisances()}
    assert keys == {
        "bore_factor[2 mm x 20 mm]": ("bore_factor", "2 mm x 20 mm"),
        "slip_coefficient[die]": ("slip_coefficient", "die"),
        "slip_threshold[die]": ("slip_threshold", "die"),
    }
    alone = Shared("static_ratio")
    assert alone == "static_ratio" and (alone.name, alone.of) == ("static_ratio", None)
    assert Shared("batch_factor", "") == "batch_factor[]"  # a batch without a name is one too
    for again in (copy.deepcopy(alone), pickle.loads(pickle.dumps(run.shared("end_correction")))):
        assert isinstance(again, Shared) and again.name in ("static_ratio", "end_correction")


def test_a_test_of_ones_own_may_name_what_it_shares_in_plain_text():
    @dataclass(frozen=True, kw_only=True, eq=False)
    class Tilted(rk.FlowCurve):
        def own_nuisances(self):
            return {"tilt": nuisance("wall_friction", 1.0, 0.1)}

        def expected(self, law, nuisance):
            return law.shear_stress(self.shear_rate) * nuisance.get("tilt", 1.0)

    rates = np.array([1.0, 10.0, 100.0])
    law = rk.PowerLaw(consistency=100.0, flow_index=0.5)
    curve = Tilted(shear_rate=rates, shear_stress=law.shear_stress(rates), relative_uncertainty=0.05)
    fit = rk.fit(rk.PowerLaw, curve)
    assert fit.nuisance["tilt"] == pytest.approx(1.0, abs=1e-6)
    assert "tilt" in fit.table.index
    assert fit.checks.set_index("question").passed["apparatus as described"]
