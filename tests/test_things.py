"""Things that are not what an entry asks for are refused in one clear sentence: what was given, and what to give."""

import numpy as np
import pytest

import rheokit as rk
from rheokit.errors import DataError
from rheokit.fitting import compare
from rheokit.limits import judge
from rheokit.reading import new_folder_files
from rheokit.units import mm

LAW = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
LAND = rk.Cylinder(diameter=1.6 * mm, length=8 * mm)
RIG = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, nozzle=rk.Nozzle(LAND), drive=rk.HandDrive())
JOB = rk.PrintJob(print_speed=15 * mm, layer_height=1 * mm, line_width=2 * mm)
PASTE = rk.Paste(law=LAW)
MATERIAL = rk.Material(paste=PASTE)
CASE = rk.Case.of(MATERIAL, RIG, JOB)
RATES = np.array([0.1, 1.0, 10.0, 30.0, 100.0, 300.0])
CURVE = rk.FlowCurve(
    shear_rate=RATES, shear_stress=LAW.shear_stress(RATES) * np.array([1.01, 0.99, 1.0, 1.01, 0.99, 1.0])
)
BENCH = rk.Bench(rk.Specimen(paste="a paste"), [CURVE])
AXES = {"bore": [1.5 * mm, 2 * mm], "print_speed": [10 * mm, 20 * mm]}
A_LAW = "give a FlowLaw: such as rk.HerschelBulkley(...), or that of a fit, fit.law (an interval: ask fit.interval)."
OF = "Case.of(material, extruder, job)"
ALL_LIMITS = ", ".join(rk.LIMITS)


@pytest.fixture(scope="module")
def fit():
    return rk.fit(rk.PowerLaw, BENCH)


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (lambda fit: RIG.plunger_force(fit, 23 * mm**3), f"Extruder.plunger_force: law is a FitResult; {A_LAW}"),
        (
            lambda fit: RIG.plunger_force(law=PASTE, flow_rate=23 * mm**3),
            f"Extruder.plunger_force: law is a Paste; {A_LAW}",
        ),
        (lambda fit: RIG.start_force(fit), f"Extruder.start_force: law is a FitResult; {A_LAW}"),
        (lambda fit: RIG.flow_at(fit), f"Extruder.flow_at: law is a FitResult; {A_LAW}"),
        (lambda fit: RIG.ooze_pressure(rk.PowerLaw), f"Extruder.ooze_pressure: law is the class PowerLaw; {A_LAW}"),
        (lambda fit: RIG.nozzle.pressure_drop(fit, 23 * mm**3), f"Nozzle.pressure_drop: law is a FitResult; {A_LAW}"),
        (
            lambda fit: rk.Case.of(fit, RIG, JOB),
            f"{OF}: material is a FitResult; give a Material: rk.Material.of(fit), or rk.Material(paste=rk.Paste(...)).",
        ),
        (
            lambda fit: rk.Case.of(MATERIAL, JOB, RIG),
            f"{OF}: extruder is a PrintJob; give an Extruder: rk.Extruder(barrel_diameter=..., fill_length=..., nozzle=...).",
        ),
        (
            lambda fit: rk.window(MATERIAL, RIG, None, "bore"),
            f"{OF}: job is None; give a Job: rk.PrintJob(print_speed=..., ...), or for a fibre "
            "rk.FibreJob(throughput=..., winding_speed=..., gap=...).",
        ),
        (
            lambda fit: rk.verdict(MATERIAL),
            "verdict: case is a Material; give a Case: rk.Case.of(material, extruder, job).",
        ),
        (lambda fit: judge(fit), "judge: case is a FitResult; give a Case: rk.Case.of(material, extruder, job)."),
        (
            lambda fit: rk.Material.of(BENCH),
            "Material.of: fit is a Bench; give a FitResult: what rk.fit(rk.HerschelBulkley, bench) returns.",
        ),
        (
            lambda fit: rk.Material.of(fit, densitty=1e3),
            "Material.of: 'densitty' is no property of a paste; did you mean 'density'? Known are "
            f"{', '.join(rk.Paste.__dataclass_fields__)}.",
        ),
        (
            lambda fit: rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, nozzle=LAND),
            "Extruder: nozzle is a Cylinder; give a Nozzle: rk.Nozzle(rk.Cylinder(...)).",
        ),
        (
            lambda fit: fit.interval(lambda law: law.shear_stress(1.0), level=95),
            "FitResult.interval: level = 95 must be from 0 to 1 (did you mean 95 %? That is 0.95).",
        ),
        (
            lambda fit: judge(CASE, limits=["stak"]),
            f"judge: 'stak' is no limit; did you mean 'stack'? Known are {ALL_LIMITS}.",
        ),
        (lambda fit: judge(CASE, limits=[3]), "judge: 3 is no limit; give a Limit, or a name of LIMITS."),
        (
            lambda fit: rk.window(MATERIAL, RIG, JOB, "bore", limits=["stak"]),
            f"window: 'stak' is no limit; did you mean 'stack'? Known are {ALL_LIMITS}.",
        ),
        (
            lambda fit: rk.region_map(MATERIAL, RIG, JOB, axes=AXES, draws=1.5),
            "region_map: draws = 1.5 must be a whole number, 0 or more.",
        ),
        (
            lambda fit: rk.region_map(MATERIAL, RIG, JOB, axes=AXES, draws=-1),
            "region_map: draws = -1 must be a whole number, 0 or more.",
        ),
        (
            lambda fit: compare(BENCH),
            "compare: a Bench is no list of laws; give one such as [rk.PowerLaw, rk.HerschelBulkley], and then the bench.",
        ),
        (
            lambda fit: rk.fit(BENCH, rk.PowerLaw),
            "fit: a Bench is not a flow law; give a class such as rk.HerschelBulkley first.",
        ),
        (
            lambda fit: rk.fit(rk.PowerLaw, [BENCH, BENCH]),
            "fit: a list is neither a bench test nor a bench; give several one after the other, not in a list.",
        ),
        (
            lambda fit: rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, nozzle=RIG.nozzle, barrel_drag=1.5),
            "Extruder: barrel_drag = 1.5 cannot be above 1.2.",
        ),
    ],
)
def test_messages(fit, act, message):
    with pytest.raises((TypeError, DataError)) as caught:
        act(fit)
    assert str(caught.value) == message


def test_limits_go_by_name_everywhere():
    """One limit or several, itself or its name: the same answer."""
    tall = rk.Case.of(rk.Material(paste=rk.Paste(law=LAW, density=1110.0)), RIG, rk.PrintJob(
        print_speed=15 * mm, layer_height=1 * mm, line_width=2 * mm, part_height=20 * mm
    ))  # fmt: skip
    stack = rk.LIMITS["stack"]
    for given in ("stack", ["stack"], stack, [stack]):
        assert list(judge(tall, limits=given).index) == ["stack"]
        assert rk.verdict(tall, limits=given) == rk.verdict(tall, limits=[stack])
    material = rk.Material(paste=tall.paste)
    by_name = rk.window(material, RIG, tall.job, "part_height", limits="stack")
    assert by_name.words == rk.window(material, RIG, tall.job, "part_height", limits=[stack]).words


def test_a_word_of_a_kind_finds_the_kinds_that_hold_it():
    with pytest.raises(DataError) as caught:
        new_folder_files(["slump"])
    assert str(caught.value).startswith(
        "no such kind of test: 'slump'; did you mean 'cylinder slump' or 'frustum slump'?; the kinds are "
    )
