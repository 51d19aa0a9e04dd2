"""What is not stated, taken over from elsewhere, or cannot be told apart: the appendix says so wherever a reader would take it for a fact."""

import math
import shutil
from types import SimpleNamespace

import numpy as np
import pytest
from test_appendix_sections import DATA, POOR, folder, poor, texts

import rheokit as rk
from rheokit.appendix import known_beforehand
from rheokit.appendix.authors import APPARATUS, MATERIAL, NOTED, PROTOCOL, notes, points
from rheokit.appendix.document import Caution, Document, Section
from rheokit.appendix.said_once import RULES, each_once, said_once
from rheokit.appendix.sections import (
    apparatus,
    assumed,
    checks,
    corrections,
    estimates,
    material,
    model,
    protocol,
    readings,
    residuals,
    summary,
    unmeasured,
)
from rheokit.appendix.sections.checks import STUDENTISED
from rheokit.appendix.stated_errors import how_stated
from rheokit.appendix.study import Study
from rheokit.appendix.taken_for_checks import taken
from rheokit.appendix.usual_corrections import rows as rows_of_usual
from rheokit.bench.design import CHANGES, together, told_alike
from rheokit.bench.property_test import HOW_WIDER
from rheokit.corrections import two_lengths
from rheokit.corrections.capillary import capillary_share
from rheokit.corrections.end_losses import end_length, end_losses
from rheokit.machine.cautions import CAUTIONS
from rheokit.nomenclature import QUANTITIES
from rheokit.planning import reading_advice
from rheokit.planning.candidate import LOCAL
from rheokit.workbook.whence import origin_of

LAND = '[[test]]\nkind = "syringe force"\nlabel = "{label}"\nfile = "{file}"\nread = "force"\nuncertainty = "2 %"\nbarrel_diameter = "22 mm"\nfill_length = "60 mm"\nplunger_friction = "6 N"\nbarrel_drag = 1\nbore = "{bore}"\nlength = "{length}"\n'
ROWS = "plunger speed [mm/s], force [N], time [s], run order [-]\n"


RULES_OF_RISK = "Your laboratory's own rules and risk assessment decide."


def said(section):
    return " ".join(texts(Document("", (), "", (section,))))


def study_of(place):
    return Study(rk.Workbook.open(place))


def run(order=None, length=0.02, diameter=1.8e-3, batch="A", label="one", **more):
    """Return a run at five rising flows."""
    nozzle = rk.Nozzle(rk.Cylinder(diameter=diameter, length=length))
    order = {} if order is None else {"run_order": order}
    flow = np.array([1e-9, 3e-9, 1e-8, 3e-8, 1e-7])
    return rk.PressureRun(
        nozzle=nozzle,
        flow_rate=flow,
        pressure=np.linspace(2e4, 8e4, 5),
        read="pressure",
        batch=batch,
        label=label,
        **order,
        **more,
    )


# --- a note may state what no entry does -----------------------------------------------------------------------------


def test_beside_a_note_nothing_is_called_not_stated_without_more(tmp_path):
    plain = study_of(poor(tmp_path / "plain"))
    noted = study_of(
        poor(tmp_path / "noted", specimen='paste = "mine"\ndensity = "1800 kg/m3"\nnote = "lot 25, kneaded 10 min"')
    )
    assert notes(noted) == ("Specimen: lot 25, kneaded 10 min",) and not notes(plain)
    for keys in (MATERIAL, APPARATUS, PROTOCOL):
        assert points(noted, keys).texts[-1].startswith(f"Not stated{NOTED}; to be filled in by the authors")
        assert points(plain, keys).texts[-1].startswith("Not stated; to be filled in by the authors")
    told = said(material.section(noted))
    assert f"Temperature of the specimen: not stated{NOTED}." in told
    assert f"Recipe: not stated in the plan{NOTED}." in told
    assert NOTED not in said(material.section(plain))


def test_authors_are_asked_for_instruments_their_calibration_and_what_uncertainties_are_by(tmp_path):
    told = said(apparatus.section(study_of(poor(tmp_path / "mine"))))
    for words in (
        "make, model, range and resolution",
        "(instruments)",
        "when, against what",
        "(calibration)",
        "calibration, resolution or repeats (uncertainties)",
    ):
        assert words in told


# --- whose a condition is -------------------------------------------------------------------------------------------


def two_batches(place, more=""):
    bench = (
        '[specimen]\npaste = "mine"\nbatch = "A"\ndensity = "1800 kg/m3"\ntemperature = "23.5 °C"\nage = "5 h"\n'
        '[[test]]\nkind = "loaded plate"\nfile = "p.csv"\nvolume = "5 mL"\nforce = "9.81 N"\n'
        f'[[test]]\nkind = "cylinder slump"\nfile = "s.csv"\nheight = "100 mm"\ndiameter = "100 mm"\nbatch = "B"\n{more}'
    )
    return study_of(folder(place, bench, **POOR))


def test_a_condition_of_another_batch_says_whose_it_is(tmp_path):
    study = two_batches(tmp_path / "two")
    table = next(one for one in protocol.section(study).blocks if getattr(one, "name", "") == "protocol")
    first, second = (dict(zip(table.columns, row, strict=True)) for row in table.rows)
    assert (first["temperature"], first["age"]) == ("23.5 °C", "5 h")
    assert (second["temperature"], second["age"]) == ("23.5 °C, of batch A", "5 h, of batch A")
    told = said(protocol.section(study))
    assert (
        "Of batch B no temperature and age of its own are stated in bench.toml: taken for it are those of batch A (23.5 °C, 5 h)"
        in told
    )
    assert "Age, time since mixing: 5 h (of batch A; taken for batch B too, of which none is stated)." in said(
        material.section(study)
    )


def test_a_condition_that_a_batch_states_is_its_own(tmp_path):
    told = said(protocol.section(two_batches(tmp_path / "two", 'age = "3 h"\n')))
    assert "Of batch B no temperature of its own is stated" in told and "5 h, of batch A" not in told


def test_a_condition_of_the_specimen_stands_only_where_it_holds_for_what_was_read(tmp_path):
    """A sieve reads dry grains, an oven dries what it weighs; a cup is filled with the paste as it is."""
    told = 'batch = "A"\ntemperature = "23.5 °C"\nwater_content = "1.26"\nage = "5 h"\n'
    kinds = {
        "sieve": ("aperture [mm], retained mass [g]\n0.4, 0\n0.2, 3\n0, 5\n", ""),
        "oven moisture": ("tare mass [g], wet mass [g], dry mass [g]\n18, 27, 22\n18, 28, 22.4\n", ""),
        "cup density": ("mass [g]\n57.6\n57.9\n", 'cup_volume = "50 mL"\n'),
        "drying shrinkage": ("wet length [mm], dry length [mm]\n50, 46\n50, 46.2\n", 'axis = "xy"\n'),
    }
    tests, files = "", {}
    for place, (kind, (rows, more)) in enumerate(kinds.items()):
        tests += f'[[test]]\nkind = "{kind}"\nfile = "f{place}.csv"\n{more}'
        files[f"f{place}_csv"] = rows
    study = study_of(folder(tmp_path / "mine", f'[specimen]\npaste = "mine"\n{told}{tests}', **files))
    table = next(one for one in protocol.section(study).blocks if getattr(one, "name", "") == "protocol")
    found = [
        [row[table.columns.index(head)] for head in ("temperature", "water content u", "age")] for row in table.rows
    ]
    assert found == [["-"] * 3, ["-"] * 3, ["23.5 °C", "1.26", "5 h"], ["-", "1.26", "-"]]
    assert table.note.startswith("-: what [specimen] states is of the paste as it was tested")


def test_no_condition_is_taken_over_for_a_test_that_it_does_not_hold_for(tmp_path):
    more = '[[test]]\nkind = "sieve"\nfile = "v.csv"\nbatch = "C"\n'
    place = tmp_path / "two"
    two_batches(place, more)
    (place / "v.csv").write_text("aperture [mm], retained mass [g]\n0.4, 0\n0.2, 3\n0, 5\n", encoding="utf-8")
    told = said(protocol.section(study_of(place)))
    assert "Of batch B no temperature" in told and "Of batch C" not in told


# --- what moved together --------------------------------------------------------------------------------------------


def test_gamma_by_hand():
    """Pairs of (1, 2, 3, 4) and (1, 3, 2, 2): (1,2), (1,3), (1,4) alike; (2,3), (2,4) opposite; (3,4) tied: (3 - 2)/5."""
    assert together([1, 2, 3, 4], [1, 3, 2, 2]) == pytest.approx(0.2)
    assert together([1, 2, 3], [3, 2, 1]) == -1.0 and together([1, 2], [5, 5]) == 0.0


def test_an_order_that_is_not_recorded_or_rises_with_the_setting_is_said():
    assert told_alike([run()]) == (
        f"The order of reading of pressure run 'one' is not recorded: {CHANGES} cannot be told from the flow rate.",
    )
    assert told_alike([run([1, 2, 3, 4, 5])]) == (
        f"In pressure run 'one' the flow rate moves with the order of reading: {CHANGES} cannot be told from it.",
    )
    assert told_alike([run([3, 5, 1, 2, 4])]) == ()


def test_an_up_and_a_down_way_tell_a_part_of_what_time_does():
    flow = np.array([1e-9, 3e-9, 1e-8, 3e-8, 1e-7, 3e-8, 1e-8, 3e-9, 1e-9])
    nozzle = rk.Nozzle(rk.Cylinder(diameter=1.8e-3, length=0.02))
    loop = rk.PressureRun(nozzle=nozzle, flow_rate=flow, pressure=2e4 + 6e11 * flow, read="pressure", label="loop")
    (told,) = told_alike([loop])
    assert told.startswith(
        f"Of pressure run 'loop' no order of reading is recorded; by its rows the flow rate went up and down: {CHANGES} is told"
    )
    assert "cannot be told" not in told and "in part" in told


def test_an_order_that_the_rows_tell_is_no_plain_not_stated(tmp_path):
    up_and_down = "plunger speed [mm/s], force [N]\n0.01, 20\n0.03, 24\n0.1, 30\n0.3, 38\n0.1, 30\n0.03, 24\n0.01, 20\n"
    place = poor(tmp_path / "loop", LAND.format(label="loop", file="a.csv", bore="1.5 mm", length="12 mm"))
    (place / "a.csv").write_text(up_and_down, encoding="utf-8")
    study = study_of(place)
    assert "not stated; its rows go up and down" in said(protocol.section(study))


def test_what_held_a_pressure_is_asked_for_where_no_rating_is_stated(tmp_path):
    place = poor(tmp_path / "land", LAND.format(label="one", file="a.csv", bore="1.5 mm", length="12 mm"))
    (place / "a.csv").write_text(ROWS + "0.01, 20, 90, 1\n0.03, 24, 60, 2\n0.1, 30, 30, 3\n", encoding="utf-8")
    words = APPARATUS["bench_rating"]
    assert words in said(apparatus.section(study_of(place)))
    bench = (place / "bench.toml").read_text(encoding="utf-8")
    (place / "bench.toml").write_text(bench + 'pressure_rating = "600 kPa"\n', encoding="utf-8")
    assert words not in said(apparatus.section(study_of(place)))
    assert words not in said(apparatus.section(study_of(poor(tmp_path / "none"))))


def test_the_same_sequence_in_each_test_is_said_and_another_one_is_not():
    same = told_alike([run([3, 5, 1, 2, 4], label="one"), run([3, 5, 1, 2, 4], 0.04, label="two")])
    assert len(same) == 1
    assert same[0].startswith(
        "Pressure run 'one' and pressure run 'two' went through the same flow rates in the same order"
    )
    assert "a steady drift can be told from it" in same[0] and "0.00, gamma" in same[0]
    assert told_alike([run([3, 5, 1, 2, 4]), run([2, 4, 5, 1, 3], 0.04)]) == ()


def test_a_wait_that_falls_with_the_rate_is_said():
    waited = run([3, 5, 1, 2, 4], time=[300.0, 100.0, 60.0, 60.0, 60.0])
    assert "the time waited before a reading moves with the flow rate" in told_alike([waited])[0]
    assert told_alike([run([3, 5, 1, 2, 4], time=[60.0] * 5)]) == ()


def test_residuals_of_several_batches_name_the_batch_of_each_reading(tmp_path):
    study = two_batches(tmp_path / "two")
    (table,) = (one for one in residuals.section(study).blocks if getattr(one, "name", "") == "residuals")
    batches = {row[table.columns.index("batch")] for row in table.rows}
    assert batches == {test.batch for test in study.fit.tests} and len(batches) == 2


def test_batches_read_through_nozzles_of_their_own_are_said_to_be_mixed_up_with_them():
    shuffled = [3, 5, 1, 2, 4]
    mixed = told_alike([run(shuffled, 0.02), run([2, 4, 5, 1, 3], 0.04, batch="B")])
    assert (
        len(mixed) == 1
        and "No nozzle was read in two batches (batch A 1.8 mm x 20 mm; batch B 1.8 mm x 40 mm)" in mixed[0]
    )
    assert told_alike([run(shuffled, 0.02), run([2, 4, 5, 1, 3], 0.02, batch="B")]) == ()


def test_bores_with_lands_of_their_own_lengths_are_said():
    found = told_alike([run([3, 5, 1, 2, 4], 0.02, 2e-3), run([2, 4, 5, 1, 3], 0.03, 3e-3)])
    assert len(found) == 1 and "what the bore does (slip) cannot be told" in found[0]
    assert told_alike([run([3, 5, 1, 2, 4], 0.02, 2e-3), run([2, 4, 5, 1, 3], 0.02, 3e-3)]) == ()


def test_kinds_and_conditions_that_batches_do_not_share_are_said():
    plate = rk.bench.KINDS["loaded plate"]
    pair = [
        run([3, 5, 1, 2, 4], age=np.full(5, 3600.0)),
        plate(radius=[0.025], volume=5e-6, force=9.81, batch="B", age=np.full(1, 7200.0)),
    ]
    told = " ".join(told_alike(pair))
    assert "No kind of test was read in two batches" in told
    assert "Each age was read in one batch alone (60 min, 2 h)" in told


def test_the_appendix_prints_what_cannot_be_told_apart_and_that_no_order_of_tests_is_known(tmp_path):
    study = two_batches(tmp_path / "two")
    told = said(protocol.section(study))
    assert "No kind of test was read in two batches" in told
    assert "In which order the tests were made is not recorded in bench.toml" in told
    study.book.plan.put("page.appendix", "test_order", "plate, then slump")
    assert "In which order the tests were made" not in said(protocol.section(study))


# --- slip and surface tension ---------------------------------------------------------------------------------------


def test_surface_tension_by_hand():
    """A plate of 4 mL at a radius of 24 mm under 6 N: 2 γ π² R⁴/(Ω F) = 0.1*9.869604*3.317760e-7/2.4e-5."""
    plate = rk.bench.KINDS["loaded plate"](radius=[0.024], volume=4e-6, force=6.0)
    assert capillary_share([plate], 0.05)["loaded plate"] == pytest.approx(0.01364374, rel=1e-6)
    assert capillary_share([run()], 0.05)["pressure run"] == pytest.approx(2 * 0.05 / 1.8e-3 / 2e4)


@pytest.mark.slow
def test_slip_with_one_bore_is_tested_in_part_and_named_as_not_measured():
    one, several = (Study(rk.Workbook.open(DATA / name)) for name in ("olive-stone-paste", "porcelain-body"))
    row = {cells[0]: cells for cells in corrections.section(one).blocks[0].rows}
    assert row["slip at the wall"][1] == corrections.IN_PART
    assert "gross slip alone" in row["slip at the wall"][2] and "one bore alone (2 mm)" in row["slip at the wall"][2]
    assert row["surface tension (syringe force)"][1].startswith(corrections.NEGLECTED)
    assert "Slip at the wall by the bore was not measured" in said(unmeasured.section(one))
    row = {cells[0]: cells for cells in corrections.section(several).blocks[0].rows}
    assert row["slip at the wall"][1] in (corrections.TESTED, corrections.APPLIED)
    assert "Slip at the wall by the bore was not measured" not in said(unmeasured.section(several))


# --- what has no effect ---------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_property_that_moves_nothing_judged_is_told_apart_from_those_that_are_used(tmp_path):
    shutil.copytree(DATA / "olive-stone-paste", tmp_path / "own")
    study = study_of(tmp_path / "own")
    assert study.idle == () and "Without effect" not in said(assumed.section(study))
    study = study_of(tmp_path / "own")
    study.book.plan.put("properties", "build_up_time", "0 s")
    study.book.plan.put("properties", "build_up_rate", "0.1 Pa/s")
    assert study.idle == ("build_up_rate",)
    told = said(assumed.section(study))
    assert (
        "Without effect on any number of this appendix that is predicted or judged: build up rate A_t (0.1 Pa/s" in told
    )
    assert "since growth counts for 0 s" in told
    rows = [
        row[1]
        for row in next(one for one in assumed.section(study).blocks if getattr(one, "name", "") == "assumed").rows
    ]
    assert "build up rate" not in rows
    assert "build up rate" not in dict(summary.section(study).blocks[-1].rows)["rests on"]


@pytest.mark.slow
def test_without_a_job_no_property_of_a_job_is_called_used(tmp_path):
    study = study_of(poor(tmp_path / "poor"))
    assert {"lean_factor", "build_up_rate", "surface_tension"} <= {*study.idle}
    assert "lean factor" not in dict(summary.section(study).blocks[-1].rows)["rests on"]


# --- what is known beforehand, and how errors are taken -------------------------------------------------------------


@pytest.fixture(scope="module")
def olive():
    return Study(rk.Workbook.open(DATA / "olive-stone-paste"))


@pytest.mark.slow
def test_every_parameter_has_its_bounds_with_why(olive):
    table = known_beforehand.bounds(olive)
    rows = {row[0]: row for row in table.rows}
    assert len(rows) == len(olive.fit.problem.free) + len(olive.fit.problem.nuisances)
    assert all(row[-1] for row in table.rows)
    plate = rows["wall friction[plates]"]
    assert (str(plate[2]), str(plate[3])) == ("0", "1") and "no more than the yield stress" in plate[-1]
    assert set(known_beforehand.WHY) <= {*QUANTITIES}


@pytest.mark.slow
def test_the_factors_are_printed_where_they_enter(olive):
    (equation,) = known_beforehand.factors(olive)
    assert equation.text == "τ_t(γ̇) = f_m f_c τ(γ̇), τ_ys = r τ_y, D_t = f_D D"
    assert "f_c (of tests that are no simple shear alone)" in equation.spoken


def test_batch_and_barrel_have_symbols_of_their_own():
    assert QUANTITIES["batch_factor"].symbol not in (QUANTITIES["barrel_drag"].symbol, "f_b")
    assert QUANTITIES["collar_friction"].symbol != QUANTITIES["criterion_factor"].symbol


CUP_TO_A_STEP = '[[test]]\nkind = "cup density"\nfile = "c.csv"\ncup_volume = "50 mL"\nuncertainty = "to 0.1 g"\n'


def with_cup(place):
    bench = f'[specimen]\npaste = "mine"\n{CUP_TO_A_STEP}[[test]]\nkind = "loaded plate"\nfile = "p.csv"\nvolume = "5 mL"\nforce = "9.81 N"\n'
    return study_of(folder(place, bench, c_csv="mass [g]\n58.9\n59.3\n59.2\n", p_csv=POOR["p_csv"]))


@pytest.mark.slow
def test_what_is_typed_as_rounding_says_how_it_is_taken(tmp_path):
    """Half a step over root three: 0.05 g/1.7320508 = 0.0288675 g, by hand."""
    study = with_cup(tmp_path / "cup")
    told = how_stated(study).texts
    assert "asks" in told[0] and "one standard uncertainty" in told[0]
    assert told[1].startswith("Test 1, cup density, uncertainty “to 0.1 g”: rounding to this step")
    assert "half a step over √3 is the standard uncertainty, here 0.0289 g of the mass" in told[1]
    assert len(told) == 2
    study.book.plan.put("page.appendix", "uncertainties", "by repeats")
    assert "as stated under “Apparatus”" in how_stated(study).texts[0]


@pytest.mark.slow
def test_an_error_that_was_estimated_of_several_kinds_together_is_said(tmp_path):
    told = how_stated(study_of(poor(tmp_path / "poor"))).texts
    assert told[-1].startswith(
        "Nobody stated an error of loaded plate and cylinder slump: one share of the reading was estimated for all of them"
    )


@pytest.mark.slow
def test_the_farthest_reading_is_named_with_its_residual_and_how_it_is_studentised(olive, tmp_path):
    fit = olive.fit
    row = next(one for one in fit.checks.itertuples() if one.question == "no reading pulls the fit")
    frame = fit.residuals
    student = frame.residual / np.sqrt(1 - frame.leverage)
    far = frame.loc[student.abs().idxmax()]
    assert (
        f"the farthest, {far['name']} row {far.row}: a residual of {far.residual:+.2f}, internally studentised {abs(student).max():.1f} standard"
        in row.comment
    )
    assert row.value == pytest.approx(abs(student).max())
    alone = study_of(poor(tmp_path / "poor")).fit
    assert alone.freedom is not None
    assert "externally studentised" in next(
        one.comment for one in alone.checks.itertuples() if one.question == row.question
    )
    assert STUDENTISED in said(residuals.section(olive)) and STUDENTISED in said(checks.section(olive))


# --- cautions -------------------------------------------------------------------------------------------------------


def test_no_sentence_of_a_caution_stands_twice_in_its_box():
    barrel = CAUTIONS["barrel"]
    assert each_once(f"Guide the load. {barrel} {barrel} About 2 kPa. Guide the load.") == (
        "Guide the load. " + barrel.removesuffix(f" {RULES_OF_RISK}") + f" {RULES_OF_RISK} About 2 kPa."
    )
    (box,) = said_once((Section("Next", (Caution(f"Mind. Mind. {RULES} Wear it. {RULES}"),)),))[0].blocks
    assert box.text == f"Mind. Wear it. {RULES}"


def test_a_candidate_of_several_runs_warns_once():
    one = type(
        "Candidate", (), {"cautions": (CAUTIONS["barrel"], f"{CAUTIONS['weights']} {CAUTIONS['barrel']}", LOCAL)}
    )
    told = " ".join(reading_advice.cautions_of([type("Ranked", (), {"candidate": one})]))
    assert told.count("A medical syringe carries no pressure rating") == 1 and told.endswith(LOCAL)


# --- classical corrections ------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_what_is_called_analysable_shows_what_it_found(olive):
    section = corrections.section(olive)
    told = {line.partition(":")[0]: line for one in section.blocks for line in getattr(one, "texts", ())}
    assert "Found: the table below" in told["two lengths"]
    assert "Found: with these lands it is the same as two lengths" in told["Bagley"]
    for one in olive.classical:
        assert one.analysable == ("Found: " in told[one.name]), one.name
    tables = [one for one in section.blocks if getattr(one, "name", "").startswith("ends-by-")]
    assert [one.name for one in tables] == ["ends-by-two-lengths"]
    found = olive.classical[0].table
    row = dict(zip(tables[0].columns, tables[0].rows[0], strict=True))
    assert row["wall stress τ_w [kPa]"].value == pytest.approx(found.wall_shear_stress[0] / 1e3)
    assert row["end correction e [L/D]"].value == pytest.approx(found.end_correction[0])


def test_a_slope_of_pressure_against_length_gives_stress_and_end_correction_by_hand():
    """4 τ_w (L/D + e) with τ_w = 500 Pa, e = 3 at L/D 10 and 20: 26 and 46 kPa."""
    pair = [
        rk.PressureRun(
            nozzle=rk.Nozzle(rk.Cylinder(diameter=2e-3, length=length)), flow_rate=[1e-8], pressure=[pressure], read="pressure",
            relative_uncertainty=0.02, label=f"{length}",
        )
        for length, pressure in ((0.02, 26e3), (0.04, 46e3))
    ]  # fmt: skip
    (one,) = end_losses(two_lengths(pair), pair, None)
    assert one.stress[0] == pytest.approx(500.0) and one.end[0] == pytest.approx(3.0)
    assert one.end[1] < 3.0 < one.end[2] and math.isnan(one.expected)
    power = rk.LAWS["power law"](consistency=100.0, flow_index=1.0)
    run = rk.PressureRun(
        nozzle=rk.Nozzle(rk.Cylinder(diameter=2e-3, length=0.02)), flow_rate=[1e-8], pressure=[1e4], read="pressure"
    )
    assert end_length(run, power, 1e-8) == pytest.approx(0.0, abs=1e-9)  # no wide end: nothing but the land


CUP = """
[[test]]
kind = "cup density"
file = "c.csv"
cup_volume = "100 mL"
uncertainty = "0.3 g"
"""


@pytest.mark.parametrize("stated", [False, True])
def test_only_what_the_specimen_states_is_told_as_stated(tmp_path, stated):
    """A slump takes the density that the cup measured, and nobody stated one."""
    own = poor(tmp_path / "a", CUP, 'paste = "clay of mine"\n' + 'density = "1800 kg/m3"\n' * stated)
    (own / "c.csv").write_text("mass [g]\n182\n185\n", encoding="utf-8")
    rows = material.known_of_paste(study_of(own))
    assert rows["density"][2].startswith("measured: cup density, 2 readings")
    assert ("density, as stated" in rows) == stated


def test_how_limits_follow_from_scatter_is_told(tmp_path):
    """Two readings with s = 7.07: √((3 + 50)/4) = 3.640, t of 4 degrees 2.776/1.960: 5.16 times as far, by hand."""
    own = poor(tmp_path / "a", CUP)
    (own / "c.csv").write_text("mass [g]\n182\n185\n", encoding="utf-8")
    words = said(material.section(study_of(own)))
    assert HOW_WIDER in words
    assert "they scatter 7.07 times as much as their stated uncertainty, so that limits lie 5.16 times as far" in words
    assert HOW_WIDER not in said(material.section(study_of(poor(tmp_path / "b"))))


WATER = 'paste = "clay of mine"\ndensity = "1800 kg/m3"\nwater_content = "30 %"\nwater_basis = "dry"\n'


def test_where_what_is_stated_and_what_is_measured_count(tmp_path):
    own = poor(tmp_path / "a", CUP, WATER)
    (own / "c.csv").write_text("mass [g]\n182\n185\n", encoding="utf-8")
    told = material.known_of_paste(study_of(own))["density, as stated"][2]
    assert told.endswith("; tests of the bench that need the density take this one; elsewhere what was measured counts")


@pytest.mark.parametrize(
    ("typed", "words", "asked"), [("23 ± 0.5 °C", "23.0 ± 0.5 °C", False), ("23 °C", "23 °C", True)]
)
def test_the_uncertainty_of_a_temperature_is_printed_and_not_asked_again(tmp_path, typed, words, asked):
    study = study_of(poor(tmp_path / "a", specimen=f'density = "1800 kg/m3"\ntemperature = "{typed}"'))
    assert f"Temperature of the specimen: {words}." in said(material.section(study))
    assert words in said(protocol.section(study))
    assert ("held and read, and its uncertainty (temperature_control)" in said(apparatus.section(study))) == asked
    assert "held and read" in said(apparatus.section(study))


@pytest.mark.parametrize(("typed", "origin"), [
    ("assumed, from a similar paste", "assumed: from a similar paste"),
    ("Assumed", "assumed: origin not given"),
    ("invented for a lecture", "invented: for a lecture"),
    ("assumedly right", "stated: assumedly right"),
])  # fmt: skip
def test_what_its_author_calls_assumed_or_invented_is(typed, origin):
    assert origin_of(typed) == origin


CURVE = '[[test]]\nkind = "flow curve"\nfile = "f.csv"\nuncertainty = "3 %"\n'
SIEVE = '[[test]]\nkind = "sieve"\nfile = "v.csv"\n'


@pytest.mark.parametrize("sieved", [False, True])
def test_a_correction_names_only_what_it_lacks(tmp_path, sieved):
    own = poor(tmp_path / "a", CURVE + SIEVE * sieved)
    (own / "f.csv").write_text("shear rate [1/s], shear stress [Pa]\n1, 400\n10, 700\n", encoding="utf-8")
    (own / "v.csv").write_text("aperture [mm], retained mass [g]\n0.4, 0\n0.2, 3\n0.1, 5\n0, 2\n", encoding="utf-8")
    (row,) = (row for row in rows_of_usual(study_of(own)) if row[0].startswith("grains against the gap"))
    assert row[3].startswith("needs the least gap as a number (geometry); ")
    assert ("also the largest grain" in row[3]) != sieved
    assert ("the largest grain is known, at most 0.4 mm (sieve" in row[3]) == sieved


@pytest.mark.slow
@pytest.mark.parametrize("air", ["", 'air_content = "2 %"'])
def test_every_number_that_checks_assumed_is_listed(tmp_path, air):
    """In the section, and not in the summary, since no answer moves with it; one that is stated is not assumed."""
    land = LAND.format(label="a", file="a.csv", bore="2 mm", length="20 mm")
    own = poor(tmp_path / "a", land + CURVE + CUP, f'paste = "clay of mine"\ndensity = "1800 kg/m3"\n{air}')
    (own / "f.csv").write_text("shear rate [1/s], shear stress [Pa]\n1, 900\n10, 1300\n50, 2000\n", encoding="utf-8")
    forces = "".join(
        f"{speed}, {force}, 600, {k}\n"
        for k, (speed, force) in enumerate([(0.01, 30), (0.03, 34), (0.1, 41), (0.3, 52)], 1)
    )
    (own / "a.csv").write_text(ROWS + forces, encoding="utf-8")
    (own / "c.csv").write_text("mass [g]\n182\n181.8\n", encoding="utf-8")
    study = study_of(own)
    names = ["trapped air"] * (not air) + ["heat that warms a volume by 1 K", "thermal conductivity", "surface tension"]
    assert [one.name for one in taken(study)] == names
    listed, first = said(assumed.section(study)), said(summary.section(study))
    assert all(name in listed and name not in first for name in names)
    errors = {row[0]: row for row in model._errors(study).rows}
    assert errors["syringe force 'a'"][2] == "2 %"
    assert errors["cup density"][2:5] == ("0.3 g", "stated", model.NO_RESIDUAL)


@pytest.mark.slow
def test_uncertainties_of_tests_of_properties_are_listed():
    rows = {row[0]: row for row in model._errors(study_of(DATA / "olive-stone-paste")).rows}
    assert rows["cup density"][3:5] == ("not stated; their scatter counts, else what is usual, 1 %", model.NO_RESIDUAL)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "given"),
    [("kitchen", ("Q = m/(ρ t)", "F = (m + m_0) g", "F = m g")), ("olive-stone-paste", ("Q = v_p A_0", "F = m g"))],
)
def test_what_gives_a_column_that_no_file_holds_is_told(name, given):
    note = readings.dictionary(study_of(DATA / name)).note
    every = "Q = v_p A_0", "Q = m/(ρ t)", "F = (m + m_0) g", "F = m g"
    assert {one for one in every if one in note} == set(given)


@pytest.mark.slow
def test_an_estimate_ends_with_the_digit_of_its_standard_uncertainty(olive):
    """JCGM 100:2008, 7.2.6 (from memory)."""
    (table,) = (one for one in estimates.section(olive).blocks if getattr(one, "name", "") == "estimates")
    for row in table.rows:
        value, error = (str(row[table.columns.index(head)]) for head in ("value", "standard uncertainty"))
        if error != "-":
            assert len(value.partition(".")[2]) == len(error.partition(".")[2]), row[0]


def test_the_factor_of_a_run_is_printed_where_it_enters(olive):
    """By a stand-in for a fit of several runs: the words alone are asked."""
    problem = SimpleNamespace(nuisances=olive.fit.problem.nuisances, runs=("one", "two"))
    several = SimpleNamespace(fit=SimpleNamespace(problem=problem))
    (equation,) = known_beforehand.factors(several)
    assert equation.text.startswith("τ_t(γ̇) = f_m f_c f_r τ(γ̇)") and "f_r (one a run" in equation.spoken
