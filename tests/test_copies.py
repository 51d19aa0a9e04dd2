"""Every object that a person holds can be pickled and copied, and prints itself on one screen."""

import copy
import pickle
import warnings
from pathlib import Path

import numpy as np
import pytest

import rheokit as rk
from rheokit import corrections
from rheokit.units import kPa, mm

DATA = Path(__file__).parents[1] / "data"
WAYS = {"pickle": lambda thing: pickle.loads(pickle.dumps(thing)), "copy": copy.copy, "deepcopy": copy.deepcopy}
NOZZLE = rk.Nozzle(
    rk.Cone(inlet_diameter=6 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
    rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
)
DRIVES = (
    rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
    rk.AirDrive(pressure=80 * kPa),
    rk.HandDrive(force=60.0),
)
EXTRUDER = rk.Extruder(
    barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0, nozzle=NOZZLE, drive=DRIVES[0]
)
JOB = rk.PrintJob(print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.25, part_height=20 * mm)
LINES, WIDTH = 20, 100  # of one screen


@pytest.fixture(scope="module")
def things():
    """Return one of every public kind of object, by name."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        bench = rk.read_bench(DATA / "olive-stone-paste")
        curve = rk.FlowCurve(shear_rate=[3, 10, 30, 100], shear_stress=[1000, 1180, 1400, 1890], label="vane")
        fit = rk.fit(rk.HerschelBulkley, curve)
        spread = rk.fit(rk.HerschelBulkley, rk.Spread(volume=1e-4, density=1000.0, radius=0.1))
        material = rk.Material.of(fit)
        case = rk.Case.of(material, EXTRUDER, JOB)
        axes = {"bore": np.array([1.0, 1.6]) * mm, "print_speed": np.array([5.0, 15.0]) * mm}
        return {
            "law": rk.HerschelBulkley(650.0, 210.0, 0.38), "shifted law": rk.Shifted(fit.law, 1.2), "fitted law": fit.law,
            "law left open": spread.law, "bench": bench, "specimen": bench.specimen, "fit": fit, "fit left open": spread,
            "interval": fit.interval(lambda law: law.shear_stress(1.0)), "joint laws": fit.sample_laws(40, 0),
            "material": material, "paste": material.paste, "nozzle": NOZZLE, "extruder": EXTRUDER, "job": JOB, "case": case,
            "region map": rk.region_map(material, EXTRUDER, JOB, None, axes, draws=20),
            "window": rk.window(material, EXTRUDER, JOB, "print_speed"), "slip": rk.Slip(coefficient=1e-7, threshold=100.0),
            **{type(drive).__name__: drive for drive in DRIVES}, **{test.name: test for test in [*bench.tests, curve]},
            **{f"correction {one.name}": one for one in corrections.all_of(bench)},
        }  # fmt: skip


def compared(one, other):
    """Say whether two objects hold the same, down to their arrays."""
    if isinstance(one, type):
        return one is other
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other, equal_nan=True)
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(compared(one[key], other[key]) for key in one)
    if isinstance(one, tuple | list):
        return len(one) == len(other) and all(map(compared, one, other))
    if hasattr(one, "__dataclass_fields__"):
        same = (compared(getattr(one, name), getattr(other, name)) for name in one.__dataclass_fields__)
        return type(one) is type(other) and all(same)
    if hasattr(one, "equals"):  # a table
        return one.equals(other)
    return (
        one == other
        or (one != one and other != other)
        or (type(one) is type(other) and not isinstance(one, float | str))
    )


@pytest.mark.slow
@pytest.mark.parametrize("way", WAYS)
def test_every_object_is_copied(things, way):
    for name, thing in things.items():
        again = WAYS[way](thing)
        assert compared(again, thing), name
        assert repr(again) == repr(thing), name


@pytest.mark.slow
def test_a_copy_answers_as_the_original(things):
    fit, material, curve = (WAYS["pickle"](things[name]) for name in ("fit", "material", "flow curve 'vane'"))
    assert fit.table.equals(things["fit"].table)
    assert fit.draws(50, 0).equals(things["fit"].draws(50, 0))
    case = rk.Case.of(material, EXTRUDER, JOB)
    assert rk.verdict(case) == rk.verdict(things["case"])
    drawn = [one.draws(30, 1).law.yield_stress for one in (material, things["material"])]
    assert np.array_equal(*drawn)
    with pytest.raises(ValueError, match="read-only"):
        curve.shear_stress[0] = 1.0
    assert WAYS["pickle"](things["law left open"]).left_open == things["law left open"].left_open != ""


@pytest.mark.slow
def test_records_benches_fits_and_corrections_print_on_one_screen(things):
    for name, thing in things.items():
        if isinstance(thing, rk.Bench | rk.BenchTest | rk.FitResult | corrections.Correction):
            lines = repr(thing).splitlines()
            assert sum(-(-len(line) // WIDTH) for line in lines) <= LINES, name  # as a screen breaks them
            assert "<" in thing._repr_html_() and "mathjax_ignore" in thing._repr_html_(), name


def test_a_bench_lists_its_tests_and_a_test_its_readings():
    bench = rk.read_bench(DATA / "olive-stone-paste")
    assert repr(bench).splitlines()[:2] == [
        "Bench of olive-stone paste, batch A, 2026-03-02 (INVENTED readings, for demonstration), 12 tests",
        "  syringe force 'land 20 mm', batch A: 7 readings of F, 43.7 to 80.7 N",
    ]
    rates = np.arange(1.0, 500.0)
    lines = repr(rk.FlowCurve(shear_rate=rates, shear_stress=rates, label="<b>")).splitlines()
    assert lines[0] == "flow curve '<b>': 499 readings of τ, 1 to 499 Pa"
    assert lines[1].split() == ["shear_rate", "[1/s]", "shear_stress", "[Pa]"]
    assert "..." in lines[8] and lines[-1].split() == ["499", "499"]
    many = rk.Bench(
        rk.Specimen(), [rk.FlowCurve(shear_rate=[1.0, place + 2.0], shear_stress=[5.0, 9.0]) for place in range(30)]
    )
    assert repr(many).splitlines()[0] == "Bench of a paste without a name, 30 tests"
    assert len(repr(many).splitlines()) == 17 and repr(many).splitlines()[-1] == "  and 15 more"
    assert "&lt;b&gt;" in rk.FlowCurve(shear_rate=rates, shear_stress=rates, label="<b>")._repr_html_()
