"""The demonstration benches: invented, made again from their script, the traps caught by name, the clean ones silent."""

import contextlib
import importlib.util
import io
import re
import warnings
from pathlib import Path

import numpy as np
import pytest

import rheokit as rk
from rheokit.command import main
from rheokit.fitting import needles
from rheokit.sampling import limits_of_spread
from rheokit.units import hour, minute, mL, mm

DATA = Path(__file__).parents[1] / "data"
TRAPS = (
    "trap-transient-rows",
    "trap-migration",
    "trap-plug-slip",
    "trap-cooling-needle",
)  # what is planted in them: `test_stamp.py`
GELS = {  # what stands behind the tests of properties
    "gelatin-dope-40": {
        "gel_temperature": 306.15, "melt_temperature": 309.15, "setting_time": 3.0, "setting_exponent": 2.0, "surface_tension": 0.05,
        "dry_section": 0.448,
    },
    "agar-dope": {
        "gel_temperature": 311.15, "melt_temperature": 357.15, "setting_time": 1.2, "setting_exponent": 1.7, "surface_tension": 0.055,
    },
}  # fmt: skip
CLEAN = {
    "olive-stone-paste": rk.HerschelBulkley(650.0, 210.0, 0.38),
    "porcelain-body": rk.HerschelBulkley(2400.0, 420.0, 0.35),
    "kitchen": rk.HerschelBulkley(176.0, 57.0, 0.38),
    "gelatin-dope-40": rk.heated(rk.Newtonian)(6.4531, 45e3),  # at 45 °C: 3.0 Pa·s at 60 °C
    "agar-dope": rk.heated(rk.PowerLaw, reference_temperature=328.15)(2.2, 0.82, 26e3),
    "olive-stone-series": rk.aged(rk.watered(rk.HerschelBulkley, reference_water=1.045), reference_age=12 * hour)(
        650.0, 210.0, 0.38, 3.23, 0.08
    ),
    "gelatin-dope": rk.Newtonian(0.92),  # at 45 °C, before rounding 0.45 exp(42e3/8.314 (1/318.15 - 1/333.15))
}


def fitted(name):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        result = rk.fit(type(CLEAN[name]), rk.read_bench(DATA / name))
        result.checks  # noqa: B018  (computed here, where warnings are silent)
    return result


def test_every_bench_is_tried():
    assert {p.parent.name for p in DATA.glob("*/bench.toml")} == {*TRAPS, *CLEAN}


@pytest.mark.parametrize("name", [*TRAPS, *CLEAN])
def test_every_file_says_that_it_is_invented(name):
    assert rk.read_bench(DATA / name).specimen.invented
    for path in (DATA / name).iterdir():
        assert "INVENTED" in path.read_text(encoding="utf-8").splitlines()[0], path.name


@pytest.mark.slow
@pytest.mark.parametrize("name", CLEAN)
def test_clean_benches_raise_none_and_hold_the_law_they_were_made_from(name):
    result = fitted(name)
    assert result.checks[~result.checks.passed].empty, result.verdict
    assert result.verdict.startswith(f"All {len(result.checks)} checks passed") and "Seen" not in result.verdict
    for parameter, value in CLEAN[name].values.items():
        assert result.table.low[parameter] <= value <= result.table.high[parameter]


@pytest.mark.parametrize("name", GELS)
def test_the_gels_tell_what_they_were_made_of(name):
    """95 % limits of each property hold the invented number, and are no wider than a factor of two."""
    found = rk.read_bench(DATA / name).properties()
    assert set(found) == set(GELS[name])
    for of, one in found.items():
        low, high = limits_of_spread(one.value, one.spread)
        assert low < GELS[name][of] < high, of
        assert high / low < 4, of


def test_the_thick_dope_and_its_thread_by_hand():
    """3.0 exp(45e3/8.314 (1/318.15 - 1/333.15)) = 6.4531 Pa·s; 10 mm3/s at 142.6 mm/s are 0.2988 mm wet and 0.2 mm dry."""
    law = CLEAN["gelatin-dope-40"]
    assert law.at(temperature=333.15).shear_stress(1.0) == pytest.approx(3.0, rel=1e-5)
    thread = next(test for test in rk.read_bench(DATA / "gelatin-dope-40").tests if test.kind == "wound thread")
    wet = np.sqrt(4 * 10 / (np.pi * 142.6)) * mm
    assert thread.wet_diameter.mean() == pytest.approx(wet, rel=0.02)
    assert thread.dry_diameter.mean() == pytest.approx(wet * np.sqrt(0.448), rel=0.02)
    assert wet * np.sqrt(0.448) == pytest.approx(0.2 * mm, rel=1e-3)


def test_a_cold_needle_is_caught_and_would_mislead():
    """Only the rows of the bare needle are named; with them the search ends at 51 kJ/mol, without them 42 lies in the limits again."""
    law_class, bench = rk.heated(rk.Newtonian), rk.read_bench(DATA / "trap-cooling-needle")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        trapped = rk.fit(law_class, bench)
        (row,) = needles.all_checks(trapped)
        warm = rk.fit(law_class, bench.where(lambda test: getattr(test, "needle_outer_diameter", None) is None))
    assert not row.passed
    assert {trapped.tests[place].label for place, _ in row.rows} == {"38 °C"}
    assert len(row.rows) == 4
    assert trapped.law.activation_energy == pytest.approx(51e3, rel=0.01)
    assert not trapped.checks.set_index("question").passed["records differ by their conditions alone"]
    assert warm.table.low["activation_energy"] < 42e3 < warm.table.high["activation_energy"]


def test_the_series_continues_the_paste_and_holds_its_slopes():
    """At a water of 1.045 and an age of 12 h it is the law of the paste; 3.23 makes 883, 650 and 463 Pa at 0.95, 1.045 and 1.15."""
    law = CLEAN["olive-stone-series"]
    paste = CLEAN["olive-stone-paste"]
    assert law.at(water_content=1.045, age=12 * hour).shear_stress(10.0) == pytest.approx(paste.shear_stress(10.0))
    levels = [law.at(water_content=u).yield_stress for u in (0.95, 1.045, 1.15)]
    assert levels == pytest.approx([883, 650, 463], rel=1e-3)
    tests = rk.read_bench(DATA / "olive-stone-series").tests
    assert {(float(t.conditions["water_content"]), t.conditions["age"] / hour) for t in tests} == {
        (u, age) for u in (0.95, 1.045, 1.15) for age in (2, 24)
    }
    assert len({test.batch for test in tests}) == 6


def test_the_gelatin_under_weights_gives_its_viscosity_and_the_friction():
    """Kind: regression. 0.92 Pa·s behind the readings; friction is 71, 48, 36 and 24 % of the weights.

    Planned without the step into the needle: 0.14, 0.37, 0.64 and 1.15 mL/min; the step takes 1 % of them.
    """
    result = fitted("gelatin-dope")
    (run,) = result.tests
    assert 100 * run.extruder.plunger_friction / run.force == pytest.approx([71, 48, 36, 24], abs=0.5)
    paste = (run.force - run.extruder.plunger_friction) / run.extruder.area
    law = CLEAN["gelatin-dope"]
    without_step = run.extruder.nozzle.flow_rate(law, paste) / run.extruder.flow_rate(law, run.force)
    assert without_step == pytest.approx(1.01, abs=0.001)
    assert run.flow_rate * without_step / (mL / minute) == pytest.approx([0.14, 0.37, 0.64, 1.15], abs=0.005)
    assert result.table.value["viscosity"] == pytest.approx(0.92, rel=0.02)
    assert result.table.low["viscosity"] > 0.92 / 1.3
    assert result.table.high["viscosity"] < 0.92 * 1.3
    friction = result.table.loc["plunger_friction[syringe]"]
    assert friction.low < 3.5 < friction.high
    assert friction.high - friction.low < 0.8, "the straight line of a liquid tells the friction well"
    check = result.checks.set_index("question").loc["friction known well enough"]
    assert "24 to 71 %" in check.comment
    assert "light rows tell the friction, heavy ones the paste" in check.comment


@pytest.mark.slow
def test_the_command_says_what_too_few_readings_of_a_liquid_cannot(capsys):
    """The usual law on four readings of a liquid: no yield stress, said as a bound; the liquid's own law passes."""
    assert main([str(DATA / "gelatin-dope"), "--law", "Herschel-Bulkley"]) == 1
    out = capsys.readouterr().out
    assert "Not identified by these readings" in out
    assert "at its bound" in out
    assert main([str(DATA / "gelatin-dope")]) == 0  # whose plan takes it
    out = capsys.readouterr().out
    assert "Newtonian law of gelatin spinning dope (INVENTED readings, for demonstration), 1 test, 4 readings" in out
    assert re.search(r"All \d+ checks passed", out)


@pytest.mark.slow
def test_without_the_early_rows_nothing_is_left_of_the_transient():
    bench = rk.read_bench(DATA / "trap-transient-rows")
    late = [
        t.where(t.time < 600) if t.time is None else t.where(np.arange(len(t.readings)) > 1)
        for t in bench.tests
        if t.time is not None
    ]
    plates = [t for t in bench.tests if t.time is None]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        result = rk.fit(rk.HerschelBulkley, *late, *plates)
    assert result.checks.set_index("question").passed["rows read when steady"]
    assert result.table.low["yield_stress"] < 650 < result.table.high["yield_stress"]


@pytest.mark.slow
def test_slip_can_be_fitted_where_it_was_planted():
    """The slip law behind the readings, 1.2e-6 m/(Pa·s) above 800 Pa, comes back, and with it the yield stress."""
    bench = rk.read_bench(DATA / "trap-plug-slip")
    from dataclasses import replace

    tests = [replace(t, slip="fitted") if t.kind == "syringe force" else t for t in bench.tests]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        result = rk.fit(rk.HerschelBulkley, *tests)
        coefficient, threshold = (result.limits(f"{name}[press]") for name in ("slip_coefficient", "slip_threshold"))
        low, high = result.limits("yield_stress")
    assert coefficient[0] < 1.2e-6 < coefficient[1]
    assert threshold[0] < 800 < threshold[1]
    assert low < 2400 < high


def test_the_script_invents_the_same_readings(tmp_path, monkeypatch):
    spec = importlib.util.spec_from_file_location("invent", DATA / "invent.py")
    invent = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(invent)
    monkeypatch.setattr(invent, "HERE", tmp_path)
    for name in (*TRAPS, *CLEAN):
        (tmp_path / name).mkdir()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.ModelRangeWarning)
        invent.main()
    written = sorted(p.relative_to(tmp_path) for p in tmp_path.rglob("*.csv"))
    assert written == sorted(p.relative_to(DATA) for p in DATA.rglob("*.csv"))
    for path in written:
        assert (tmp_path / path).read_text() == (DATA / path).read_text(), path


@pytest.mark.slow
def test_the_five_statements():
    """What README shows, with its numbers."""
    bench = rk.read_bench(DATA / "olive-stone-paste")
    paste = rk.fit(rk.HerschelBulkley, bench)
    nozzle = rk.Nozzle(
        rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
        rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
    )
    extruder = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, plunger_friction=8.0, nozzle=nozzle)
    force = paste.interval(lambda law, extruder: extruder.plunger_force(law, flow_rate=23 * mm**3), extruder=extruder)
    truth = extruder.plunger_force(CLEAN["olive-stone-paste"], 23 * mm**3)
    assert force.low < truth < force.high
    assert not force.extrapolated
    readme = (DATA.parent / "README.md").read_text(encoding="utf-8")
    assert repr(paste) in readme
    assert re.search(r"comment='(.*?)'", readme).group(1) == force.comment
    shown = re.search(r"Interval\(value=([\d.]+), low=([\d.]+), high=([\d.]+), extrapolated=False", readme)
    assert [float(x) for x in shown.groups()] == pytest.approx([force.value, force.low, force.high], rel=2e-3)


@pytest.mark.slow
@pytest.mark.parametrize(
    "heading",
    [
        "What an interval is made of",
        "Water, temperature and age",
        "Will it print?",
        "Will it draw?",
        "One folder a paste",
    ],
)
def test_readme_prints_what_it_shows(heading):
    """What README shows of a series, a print and a fibre, with its words, after the five statements that come first."""
    readme = (DATA.parent / "README.md").read_text(encoding="utf-8")
    block = re.search(rf"### {re.escape(heading)}\n.*?```python\n(.*?)```\n\n```text\n(.*?)```", readme, flags=re.S)
    first = re.search(r"## Five statements\n.*?```python\n(.*?)```", readme, flags=re.S)
    script = (first.group(1) + block.group(1)).replace('"data/', f'"{DATA}/')
    with contextlib.redirect_stdout(io.StringIO()) as out:
        exec(script, {})
    assert out.getvalue() == block.group(2)


def test_readme_on_own_readings(tmp_path, monkeypatch):
    """What README says makes a folder to fill in, and reads an export by one entry."""
    readme = (DATA.parent / "README.md").read_text(encoding="utf-8")
    section = readme[readme.index("## Your own readings") :]
    monkeypatch.chdir(tmp_path)
    exec(re.search(r"```python\n(.*?)```", section, flags=re.S).group(1), {"rk": rk})
    assert "loaded plate" in (tmp_path / "my-paste" / "bench.toml").read_text(encoding="utf-8")
    (tmp_path / "bench.toml").write_text(
        re.search(r"```toml\n(.*?)```", section, flags=re.S).group(1), encoding="utf-8"
    )
    rows = (
        "Messung 1\n\nNr.\tScherrate\tSchubspannung\tStatus\n\t[1/s]\t[kPa]\t\n1\t0,5\t0,091\tgut\n2\t5\t0,142\tgut\n"
    )
    (tmp_path / "export.txt").write_bytes(rows.encode("utf-16"))
    (curve,) = rk.read_bench(tmp_path).tests
    assert (curve.shear_rate.tolist(), curve.shear_stress.tolist()) == ([0.5, 5.0], [91.0, 142.0])


@pytest.mark.slow
def test_the_command_prints_the_fit_and_its_checks(capsys):
    assert main([str(DATA / "olive-stone-paste"), "--use", "5", "150"]) == 0
    out = capsys.readouterr().out
    assert "Herschel-Bulkley law of olive-stone paste (INVENTED readings, for demonstration)" in out
    assert "yield_stress" in out
    assert "checks passed" in out
    assert "use range covered" in out
    assert "measured  density ρ = 1107 kg/m³ (95 % 1092 to 1123 kg/m³): cup density, 3 readings" in out
    assert main([str(DATA / "nowhere")]) == 2
    assert "nowhere" in capsys.readouterr().err
