"""Many readings: gathered into means that count as many as they hold, with the intervals that the single ones give."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import rheokit as rk
from rheokit.bench import gathered as gathering
from rheokit.bench.gathered import MANY, count_of, gathered
from rheokit.units import mm

ROOT = Path(rk.__file__).parents[1]
LAW = rk.HerschelBulkley(yield_stress=300.0, consistency=80.0, flow_index=0.45)


def curve(count, seed=0, scatter=0.05, **stated):
    """Return an invented flow curve of many readings at rates spread at random over two decades."""
    rng = np.random.default_rng(seed)
    rates = np.exp(rng.uniform(np.log(1.0), np.log(200.0), count))
    stress = LAW.shear_stress(rates) * np.exp(scatter * rng.standard_normal(count))
    return rk.FlowCurve(shear_rate=rates, shear_stress=stress, **stated)


def alone(monkeypatch):
    """Let every reading stand alone."""
    monkeypatch.setattr(gathering, "MANY", 10**9)


def test_few_readings_stand_alone():
    test = curve(MANY)
    assert gathered([test]) == [test]
    assert gathered([curve(MANY // 2), curve(MANY // 2, 1)])[0].origin is None


def test_every_reading_is_counted_once():
    test = curve(5000)
    (few,) = gathered([test])
    assert len(few.readings) <= gathering.ENOUGH
    assert count_of(few) == 5000
    assert few.origin.counts.min() >= 1
    total = np.sum(few.origin.counts * np.log(few.readings))
    assert total == pytest.approx(np.sum(np.log(test.readings)), rel=1e-12)


def test_repeats_of_one_setting_are_their_mean_and_their_scatter():
    """By hand: of each setting the mean of the logarithms, and the squares about it with one degree of freedom less."""
    noise = np.random.default_rng(1).standard_normal((4, 250))
    rates = np.repeat([1.0, 10.0, 50.0, 100.0], 250)
    test = rk.FlowCurve(shear_rate=rates, shear_stress=np.exp(5 + 0.1 * noise.ravel()))
    (few,) = gathered([test])
    assert np.log(few.readings) == pytest.approx(5 + 0.1 * noise.mean(1))
    assert few.origin.squares == pytest.approx(np.sum((0.1 * (noise - noise.mean(1, keepdims=True))) ** 2))
    assert few.origin.freedom == 4 * 249


def test_bounds_and_numbers_are_kept_apart():
    censored = np.where(np.arange(1000) % 2, 0, 1)
    (few,) = gathered([replace(curve(1000), censored=censored)])
    assert np.sum(few.origin.counts[few.censored == 1]) == 500
    assert np.sum(few.origin.counts[few.censored == 0]) == 500


def test_the_parts_of_a_stroke_are_kept_apart():
    test = replace(curve(3000), stroke=np.linspace(0, 0.05, 3000))
    (few,) = gathered([test])
    assert np.all(np.diff(few.stroke) >= 0)
    assert np.ptp(few.stroke) > 0.03


@pytest.mark.parametrize(
    "stated", [{}, {"relative_uncertainty": np.full(2000, 0.05)}, {"error": "absolute"}, {"uncertainty": 40.0}]
)
def test_law_and_limits_are_those_of_the_single_readings(stated, monkeypatch):
    """Of 2000 readings: what lies between the two is a tenth of the interval, and the intervals are as wide."""
    few = rk.fit(rk.HerschelBulkley, curve(2000, **stated)).table
    alone(monkeypatch)
    all_of_them = rk.fit(rk.HerschelBulkley, curve(2000, **stated)).table
    width = all_of_them.high - all_of_them.low
    assert np.all(np.abs(few.value - all_of_them.value) < 0.1 * width)
    assert np.all(np.abs((few.high - few.low) / width - 1) < 0.1)


def test_the_fit_says_what_was_gathered():
    fit = rk.fit(rk.HerschelBulkley, curve(3000))
    few = sum(fit.problem.counts)
    words = (
        f"3000 readings were gathered into {few} means of neighbours (settings alike, read one after the other); each counts "
        "as often as it holds readings, and their scatter is kept. A row number is that of the first of them; single stray "
        "readings are not looked for among so many."
    )
    assert words in fit.summary
    assert words in fit._repr_html_()
    assert f"1 test, 3000 readings in {few} means" in fit.summary
    assert "3000 readings for 3 free parameters." in fit.summary
    assert fit.degrees_of_freedom > 2500


def test_the_size_of_the_residuals_is_that_of_the_readings():
    """Stated as half of what they scatter: reduced chi-square 4, as of single readings, however many are gathered."""
    checks = rk.fit(rk.HerschelBulkley, curve(20_000, relative_uncertainty=0.025)).checks.set_index("question")
    assert checks.value["scatter about the law as expected"] == pytest.approx(4.0, rel=0.1)
    assert not checks.passed["scatter about the law as expected"]
    assert "lie 2 times as far" in checks.comment["scatter about the law as expected"]


@pytest.mark.slow
def test_laws_are_compared_as_with_single_readings(monkeypatch):
    laws = [rk.PowerLaw, rk.HerschelBulkley, rk.Bingham]
    few = rk.compare(laws, curve(2000))
    alone(monkeypatch)
    all_of_them = rk.compare(laws, curve(2000))
    assert list(few.verdict) == list(all_of_them.verdict)
    assert few.difference.to_numpy() == pytest.approx(all_of_them.difference.to_numpy(), rel=0.05, abs=1.0)


def long_run(**stated):
    """Return an invented run of 20 000 readings through one needle."""
    needle = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=40 * mm))
    flow = np.geomspace(1e-9, 3e-7, 20_000)
    scatter = np.exp(0.02 * np.random.default_rng(0).standard_normal(len(flow)))
    pressure = needle.pressure_drop(LAW, flow) * scatter
    return rk.PressureRun(nozzle=needle, flow_rate=flow, pressure=pressure, **stated)


@pytest.mark.parametrize("stated", [{}, {"relative_uncertainty": 0.02}])
def test_corrections_take_many_rows(stated):
    """Against the law's own true rates at the wall: within 3 %, and by hand the error of a mean is that of a reading over √m."""
    found = rk.corrections.rabinowitsch(long_run(**stated))
    table = found.table
    assert len(table) <= gathering.ENOUGH
    assert any("20000 readings were gathered into" in note for note in found.notes)
    true = LAW.shear_rate(LAW.wall_shear_stress(table.apparent_shear_rate.to_numpy()))
    middle = slice(len(table) // 5, -len(table) // 5)
    assert table.wall_shear_rate.to_numpy()[middle] == pytest.approx(true[middle], rel=0.03)
    if stated:
        (few,) = gathered([long_run(**stated)])
        share = table.wall_shear_stress_uncertainty / table.wall_shear_stress
        assert np.sort(share) == pytest.approx(np.sort(0.02 / np.sqrt(few.origin.counts)), rel=1e-6)


@pytest.mark.slow
def test_limits_hold_the_truth_of_gathered_readings():
    """120 invented benches of 2000 readings: 95 % limits hold in 90 to 99 % (two standard deviations of the count)."""
    truth = [LAW.yield_stress, LAW.consistency, LAW.flow_index]
    held = []
    for seed in range(120):
        table = rk.fit(rk.HerschelBulkley, curve(2000, seed)).table.loc[list(LAW.values)]
        held.append((table.low.to_numpy() <= truth) & (truth <= table.high.to_numpy()))
    assert np.all(np.abs(np.mean(held, axis=0) - 0.95) <= 0.045)


@pytest.mark.slow
def test_a_hundred_thousand_rows_of_a_syringe_cost_little(tmp_path):
    """The whole command on 100 000 rows, by processor time and memory of its process."""
    bore, area = 2 * mm, np.pi / 4 * (20 * mm) ** 2
    rig = rk.Extruder(
        barrel_diameter=20 * mm,
        fill_length=60 * mm,
        plunger_friction=5.0,
        nozzle=rk.Nozzle(rk.Cylinder(diameter=bore, length=20 * mm)),
    )
    flow = np.geomspace(1e-9, 3e-7, 100_000)
    force = rig.plunger_force(LAW, flow_rate=flow) * np.exp(0.02 * np.random.default_rng(0).standard_normal(len(flow)))
    rows = "".join(f"{v:.6g}, {f:.6g}\n" for v, f in zip(flow / area / mm, force, strict=True))
    (tmp_path / "run.csv").write_text("plunger speed [mm/s], force [N]\n" + rows)
    (tmp_path / "bench.toml").write_text(
        '[specimen]\npaste = "logged"\ninvented = true\n[[test]]\nkind = "syringe force"\nfile = "run.csv"\n'
        'barrel_diameter = "20 mm"\nfill_length = "60 mm"\nplunger_friction = "5 ± 1 N"\nbore = "2 mm ± 1 %"\nlength = "20 mm"\n'
        'read = "force"\n'
    )
    code = (
        "import os, re, sys; from rheokit.command import main; code = main(sys.argv[1:]); "
        "most = re.search(r'VmHWM:\\s*([0-9]+)', open('/proc/self/status').read())[1]; "  # of this process alone
        "print(code, os.times().user, most, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, cwd=ROOT)
    code, seconds, kilobytes = done.stderr.splitlines()[-1].split()
    assert "100000 readings in" in done.stdout
    assert code == "0"
    assert float(kilobytes) < 500_000
    assert float(seconds) < 20  # 4 s on a machine at rest
