"""What the bench's own data say against its readings: grains, fills, volumes.

Kind       exact: each slip is planted, its numbers are by hand.
"""

import re
import warnings
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import rheokit as rk
from rheokit.bench import KINDS
from rheokit.fitting import handling
from rheokit.reading.forms import TEST_KEYS, form_of
from rheokit.reading.specimens import KEYS as SPECIMEN_KEYS
from rheokit.units import mm

OLIVE = rk.read_bench(Path(__file__).parents[1] / "data" / "olive-stone-paste")

CURVE = rk.FlowCurve(shear_rate=[1.0, 10.0, 50.0], shear_stress=[700.0, 1000.0, 1500.0], relative_uncertainty=0.05)


def checked(bench):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        result = rk.fit(rk.HerschelBulkley, bench)
    return {row.question: row for row in handling.all_checks(result)}


def with_extruder(**changed):
    tests = [
        replace(test, extruder=replace(test.extruder, **changed)) if test.extruder is not None else test
        for test in OLIVE.tests
    ]
    return rk.Bench(OLIVE.specimen, tests)


def test_the_bench_as_it_was_passes_and_was_asked():
    found = checked(OLIVE)
    assert set(found) == {
        "grains small against bores and gaps",
        "no more pushed than filled in",
        "fill as usual for the barrel",
    }
    assert all(row.passed for row in found.values()), found


@pytest.mark.slow
def test_a_sieve_cut_of_2_mm_against_a_bore_of_2_mm_and_a_thin_gap_is_caught():
    coarse = [
        replace(test, aperture=test.aperture * 8) if test.kind == "sieve" else test for test in OLIVE.tests
    ]  # all passes 8 · 0.25 = 2 mm
    row = checked(rk.Bench(OLIVE.specimen, coarse))["grains small against bores and gaps"]
    assert not row.passed
    assert re.search(
        r"syringe force 'land 20 mm': bore 2 mm is 1\.\d times the d90 of 1\.\d+ mm, at least 5 are wanted", row.comment
    )
    fine = [test for test in coarse if test.extruder is None and test.kind != "hanging slug"]
    row = checked(rk.Bench(OLIVE.specimen, [*fine, CURVE]))["grains small against bores and gaps"]
    gap = 5e-6 / (np.pi * 24.9e-3**2)
    said = f"loaded plate: gap {gap * 1e3:.3g} mm is 1.3 times the largest grain of at most 2 mm, at least 5 are wanted"
    assert said in row.comment


def test_without_a_sieve_grains_are_not_judged():
    assert "grains small against bores and gaps" not in checked(OLIVE.where(lambda test: test.kind != "sieve"))


@pytest.mark.slow
def test_a_fill_of_5_mm_for_55_is_caught_by_what_was_pushed_and_by_the_barrel():
    assert all(row.passed for row in checked(with_extruder(fill_length=55 * mm)).values())
    found = checked(with_extruder(fill_length=5 * mm))
    pushed = found["no more pushed than filled in"]
    assert not pushed.passed and pushed.rows
    area = np.pi * 26.7e-3**2 / 4
    volume, filled = 0.05e-3 * 150 * area * 1e6, 5e-3 * area * 1e6  # 0.05 mm/s for 150 s
    assert f"row 6: {volume:.3g} mL pushed of {filled:.3g} mL filled in" in pushed.comment
    fill = found["fill as usual for the barrel"]
    assert not fill.passed
    assert (
        "fill of 5 mm in a barrel of 26.7 mm, 0.19 diameters; 0.5 to 15 are usual. Is the fill length" in fill.comment
    )


def pushed(barrel_diameter):
    """Return an invented run from a barrel that is filled 40 mm long."""
    barrel = {"barrel_diameter": barrel_diameter, "fill_length": 40 * mm, "plunger_friction": 8.0}
    rig = rk.Extruder(**barrel, nozzle=rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=20 * mm)))
    return rk.ForceRun(
        extruder=rig, flow_rate=np.multiply([10.0, 20.0, 40.0, 80.0], mm**3), force=[30.0, 34.0, 41.0, 60.0]
    )


@pytest.mark.filterwarnings("ignore::rheokit.RheokitWarning")
@pytest.mark.parametrize(("barrel", "usual"), [(2.6, False), (2.7, True), (79, True), (81, False)])
def test_a_barrel_that_the_fill_does_not_suit_is_caught(barrel, usual):
    """By hand: 40 mm are 15.4, 14.8, 0.506 and 0.494 diameters, and 0.5 to 15 are usual."""
    found = handling.all_checks(rk.fit(rk.PowerLaw, pushed(barrel * mm)))
    (row,) = [row for row in found if row.question == "fill as usual for the barrel"]
    assert row.passed == usual


@pytest.mark.slow
def test_readings_at_194_kpa_come_with_a_caution():
    """By hand: 60 N less 8 N of friction on a barrel of 18.47 mm, 267.9 mm², are 194 kPa."""
    run = pushed(18.47 * mm)
    rig = run.extruder
    said = handling.caution(rk.fit(rk.PowerLaw, run))
    assert said.startswith(
        "syringe force was read at up to 194 kPa in the barrel (rows 3, 4 above 100 kPa), which asks for a barrel with a printed "
        f"rating of at least 388 kPa.{handling.UNRATED_WORDS} A medical syringe carries no pressure rating: never drive one with compressed air"
    )
    summary = rk.fit(rk.PowerLaw, run).summary
    assert f"Caution. {said}" in summary and "Caution. syringe force was read" in rk.fit(rk.PowerLaw, run)._repr_html_()
    rated = replace(run, extruder=replace(rig, pressure_rating=400e3))
    assert handling.caution(rk.fit(rk.PowerLaw, rated)) == ""
    weak = replace(run, extruder=replace(rig, pressure_rating=300e3))
    assert "(row 4 above 150 kPa, half its rating of 300 kPa)" in handling.caution(rk.fit(rk.PowerLaw, weak))
    assert handling.caution(rk.fit(rk.PowerLaw, run.where(run.force < 34.5))) == ""


@pytest.mark.slow
def test_every_test_read_above_what_its_barrel_may_bear_is_named_with_its_rows_and_batch():
    """By hand: 60 N less 8 N on 267.9 mm² are 194 kPa, and 42 N less 8 N 127 kPa."""
    run = replace(pushed(18.47 * mm), label="stiff", batch="A")
    soft = replace(run, label="soft", batch="B", force=run.force * 0.7)
    said = handling.caution(rk.fit(rk.PowerLaw, run, soft))
    first, second = said.split("; ")
    assert first.startswith(
        "syringe force 'stiff' of batch A was read at up to 194 kPa in the barrel (rows 3, 4 above 100 kPa), which asks"
    )
    assert second.startswith(
        "syringe force 'soft' of batch B was read at up to 127 kPa in the barrel (row 4 above 100 kPa), which asks"
    )
    assert said.count(handling.UNRATED_WORDS) == 1


LAND = """[specimen]
paste = "paste of mine"
[apparatus.barrel]
barrel_diameter = "18.47 mm"
bore = "2 mm"
length = "20 mm"
{more}[[test]]
kind = "{kind}"
file = "a.csv"
apparatus = "barrel"
{own}uncertainty = "2 %"
"""
FORCES = "flow rate [mm3/s], force [N]\n10, 30\n20, 34\n40, 41\n80, 60\n"
PRESSURES = "flow rate [mm3/s], gauge pressure [kPa]\n10, 82\n20, 97\n40, 123\n80, 194\n"


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::rheokit.RheokitWarning")
@pytest.mark.parametrize(
    ("kind", "own", "rows"),
    [
        ("syringe force", 'read = "force"\nfill_length = "40 mm"\nplunger_friction = "8 N"\nbarrel_drag = 1\n', FORCES),
        ("pressure run", 'read = "pressure"\n', PRESSURES),
    ],
)
def test_a_rating_is_typed_where_the_caution_asks_for_it(kind, own, rows, tmp_path):
    """By hand as above: at most 194 kPa, of which a rating of 600 kPa bears half, 300 kPa, and one of 300 kPa not."""
    key = re.search(r"(\w+) = \"600 kPa\"", handling.UNRATED_WORDS)

    def told(more):
        (tmp_path / "a.csv").write_text(rows, encoding="utf-8")
        (tmp_path / "bench.toml").write_text(LAND.format(kind=kind, own=own, more=more), encoding="utf-8")
        return handling.caution(rk.fit(rk.PowerLaw, rk.read_bench(tmp_path)))

    assert handling.UNRATED_WORDS in told("")
    assert told(f"{key[0]}\n") == ""
    assert "half its rating of 300 kPa" in told(f'{key[1]} = "300 kPa"\n')


def test_every_key_that_a_message_sends_one_to_bench_toml_for_is_read_there():
    source = "\n".join(path.read_text("utf-8") for path in Path(rk.__file__).parent.rglob("*.py"))
    asked = set(re.findall(r"""write \[specimen\] (\w+) in bench\.toml""", source))
    asked |= set(re.findall(r"""write (\w+) = "\w+" in the \[\[test\]\]""", source))
    asked |= set(re.findall(r"""(\w+) = "[^"]+"[^"]{0,80}in its apparatus""", source))
    asked |= set(re.findall(r"""(\w+)(?: = "[^"]+")? in bench\.toml""", source)) & {*rk.nomenclature.QUANTITIES}
    asked |= set(re.findall(r"""No (?:test states a )?(\w+) of what held it""", source))
    forms = [form_of(kind) for kind in KINDS.values()]
    known = {*TEST_KEYS, *SPECIMEN_KEYS}.union(
        *(one.dimension_names() for one in forms), *(one.choices for one in forms)
    )
    assert {"pressure_rating", "water_content", "end_correction", "slip", "branch", "true_density"} <= asked
    assert asked <= known
