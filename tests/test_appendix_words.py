"""Words of the appendix that a reader takes at face value: counts of captions, sides of limits, whose a number is, whose a protocol is."""

import math
import re
import shutil
from contextlib import nullcontext
from functools import cache

import pytest
from test_appendix_sections import DATA, appendix, poor

import rheokit as rk
from rheokit import charts
from rheokit.appendix import composing
from rheokit.appendix.cells import as_told
from rheokit.appendix.document import Caution, Paragraph, Section
from rheokit.appendix.letters import pieces
from rheokit.appendix.said_once import NAMES, said_once
from rheokit.appendix.sections import (
    assumed,
    checks,
    environment,
    forces,
    material,
    protocol,
    residuals,
    unmeasured,
    validity,
)
from rheokit.appendix.study import ON_MAP, POINTS, Study
from rheokit.bench.usual import protocol_of
from rheokit.checking import Check, beyond
from rheokit.fitting import stamp
from rheokit.machine.cautions import CAUTIONS
from rheokit.planning import reading_advice
from rheokit.workbook.whence import told_in

OLIVE = DATA / "olive-stone-paste"


@cache
def study():
    """Return the study of a demo with every kind of test, made once."""
    return Study(rk.Workbook.open(OLIVE))


def captions(section):
    return {one.name: one.caption for one in section.blocks if hasattr(one, "svg")}


@pytest.mark.slow
def test_a_caption_counts_what_its_picture_shows():
    fit, total = study().fit, study().fit.problem.total
    told = captions(residuals.section(study())) | captions(validity.section(study()))
    frame = fit.residuals
    drawn = charts.flow_curves.drawn_readings(fit)
    points = sum(
        1
        for test in fit.tests
        for rate in test.at_reference(fit.law, *test.curve_points(test.at_its_condition(fit.law), fit.nuisance))[0]
        if rate > 0
    )
    assert drawn == points < total
    assert f"{drawn} of {total} readings, those with a rate" in told["flow-curve"]
    assert f"residuals of {(frame.shear_rate > 0).sum()} of {total} readings along" in told["residuals-rate"]
    in_order = int(frame.run_order.notna().sum())
    assert ("in the order of their tables" in told["residuals-order"]) == (not in_order)
    assert not in_order or f"residuals of {in_order} of {total} readings in the order" in told["residuals-order"]


@pytest.mark.parametrize(
    ("check", "verdict", "told"),
    [
        (Check("runs repeat", 0.1, 0.2, True, ""), "passed", ("10", "at most 20", "%")),
        (Check("runs repeat", 0.3, 0.2, False, ""), "FAILED", ("30", "at most 20", "%")),
        (Check("runs repeat", 0.3, 0.2, True, "why"), checks.BEYOND, ("30", "at most 20", "%")),
        (Check("parameters identified", 0, 0, True, ""), "passed", ("0", "at most 0", "parameters open")),
        (Check("parameters identified", 2, 0, False, ""), "FAILED", ("2", "at most 0", "parameters open")),
        (Check("gap of the plate as usual", 0.0026, 0.001, True, ""), "passed", ("2.6", "at least 1", "mm")),
        (Check("gap of the plate as usual", 0.0004, 0.001, False, ""), "FAILED", ("0.4", "at least 1", "mm")),
        (Check("plate squeezed far enough", 2.0, 4.0, False, ""), "FAILED", ("2", "at least 4", "gaps")),
        (
            Check("grains small against bores and gaps", 2.05, 1.0, True, ""),
            "passed",
            ("2.05", "at least 1", "times what is wanted"),
        ),
        (Check("first setting repeats", -0.3, 0.1, False, ""), "FAILED", ("-30", "at most 10 either way", "%")),
        (Check("first setting repeats", -0.3, 0.1, True, "why"), checks.BEYOND, ("-30", "at most 10 either way", "%")),
        (Check("needle keeps its temperature", 8.5, 1.0, False, ""), "FAILED", ("8.5", "at most 1", "K")),
        (Check("needle keeps its temperature", math.nan, 1.0, False, ""), "FAILED", ("not known", "at most 1", "K")),
        (
            Check("readings in their windows", 0, "said", True, ""),
            "passed",
            ("0", "-", "readings that count as bounds"),
        ),
        (
            Check("fill as usual for the barrel", 1.0, "0.5 to 2.0", True, ""),
            "passed",
            ("1", "0.5 to 2.0", "diameters"),
        ),
        (
            Check("scatter about the law as expected", 4.0, "0,5 to 2,0", True, "why"),
            checks.BEYOND,
            ("4", "0,5 to 2,0", checks.STATED),
        ),
        (Check("scatter about the law as expected", 0.02, 0.25, True, ""), "passed", ("2", "at most 25", "%")),
        (
            Check("use range covered", "1 to 100 1/s", "rates read", True, ""),
            "passed",
            ("1 to 100 1/s", "rates read", ""),
        ),
        (Check("converged", "True", "True", True, ""), "passed", ("yes", "yes", "")),
    ],
)
def test_a_limit_says_which_side_is_good_and_of_which_unit_both_are(check, verdict, told):
    fit = type("Fit", (), {"checks": rk.framed.framed([check], columns=list(Check._fields))})
    row = next(fit.checks.itertuples())
    assert (checks._verdict(row), checks._numbers(row)) == (verdict, told)


def test_every_question_in_numbers_has_a_unit():
    in_words = {"converged", "use range covered", "effects of conditions shown", "scatter about the law as expected"}
    assert set(checks.MEASURES) | in_words == set(stamp.CAUSES) | {"readings in their windows"}


def test_a_plate_too_wide_for_its_gap_lies_below_the_least_gap_that_is_told():
    plate = rk.bench.KINDS["loaded plate"](radius=[0.2], volume=2.0e-4, force=300.0)
    row = plate._gap_as_usual()
    assert not row.passed and row.value > 1e-3 and beyond(row)


@pytest.mark.slow
def test_what_failed_lies_beyond_its_limit_and_what_passed_within_or_it_says_so():
    for name in ("olive-stone-paste", "trap-migration", "kitchen"):
        for row in rk.Workbook.open(DATA / name).fit.checks.itertuples():
            if checks._verdict(row) == checks.BEYOND:
                assert any(word in row.comment for word in ("light rows", "deviations", "beside")), row
            numeric = not isinstance(row.value, str) and not isinstance(row.threshold, str)
            if numeric and row.value == row.value and not row.passed:
                assert beyond(row) or row.value == row.threshold, row


def test_the_usual_protocol_stands_apart_and_notes_of_the_bench_stand_with_it(tmp_path):
    place = poor(
        tmp_path / "mine",
        specimen='paste = "mine"\ndensity = "1800 kg/m3"\nnote = "Operator K. L., mixed 5 min by hand"',
    )
    bench = (
        (place / "bench.toml")
        .read_text(encoding="utf-8")
        .replace('force = "9.81 N"', 'force = "6.1 N"\nnote = "up only"')
    )
    (place / "bench.toml").write_text(bench, encoding="utf-8")
    made = protocol.section(Study(rk.Workbook.open(place)))
    said = [text for one in made.blocks for text in getattr(one, "texts", [getattr(one, "text", "")])]
    assert "Specimen: Operator K. L., mixed 5 min by hand" in said
    assert "Test 1, loaded plate: up only" in said
    usual = said.index(f"Usual loaded plate: {protocol_of(rk.bench.KINDS['loaded plate'])}")
    before = "\n".join(said[:usual])
    assert "They are not those of this bench" in before
    assert before.index("up only") < before.index("They are not those of this bench")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("lab extruder no. 2, drawing of 2025", "stated: lab extruder no. 2, drawing of 2025"),
        ("measured: calipers", "measured: calipers"),
        ("assumed: as the last one", "assumed: as the last one"),
        ("", "assumed: origin not given"),
    ],
)
def test_what_an_author_stated_is_not_called_assumed(typed, told, tmp_path):
    place = poor(tmp_path / "mine")
    origin = f'origin = "{typed}"\n' if typed else ""
    (place / "plan.toml").write_text(f'[machine]\n{origin}barrel_diameter = "20 mm"\n', encoding="utf-8")
    book = rk.Workbook.open(place)
    assert told_in(book.plan, "machine") == told_in(book.plan, "nozzle") == told


def test_what_the_specimen_states_was_measured_by_no_test():
    assert as_told("measured: stated of the specimen") == "stated of the specimen"
    assert as_told("measured: cup density, 3 readings") == "measured: cup density, 3 readings"


@pytest.mark.slow
def test_what_is_stated_stands_in_no_table_as_measured():
    rows = [row for one in unmeasured.section(study()).blocks for row in getattr(one, "rows", ())]
    assert rows
    assert not [row for row in rows if "measured: stated" in row[2]]


@pytest.mark.slow
def test_a_spread_that_nobody_stated_says_so(tmp_path):
    shutil.copytree(OLIVE, tmp_path / "own")
    book = rk.Workbook.open(tmp_path / "own")
    book.plan.put("properties", "build_up_rate", "0.08 Pa/s")
    rows = [row for one in assumed.section(Study(book)).blocks for row in getattr(one, "rows", ())]
    row = next(row for row in rows if "build up rate" in row[1])
    assert "its limits are not stated: a usual standard deviation of its ln, 0.3, is assumed" in row[-1]


@pytest.mark.slow
def test_the_script_makes_the_map_of_the_document():
    script = [one.text for one in environment.section(study()).blocks if hasattr(one, "text")][-1]
    assert f", {POINTS})," in script and f"draws={ON_MAP}" in script
    assert "draws=500" not in script


@pytest.mark.slow
def test_the_caption_of_the_force_names_what_bounds_it():
    told = captions(forces.section(study()))["force-speed"]
    for words in rk.limits.forces.force_limits(study().case).words:
        assert words in told
    assert "hand" in told and "for comparison" in told
    assert re.search(r"start after rest[^;]* \(95 % ", told)


def test_shares_of_single_inputs_say_that_they_overlap(monkeypatch):
    found = type(
        "Found", (), {"left": ("a (71 % of its variance)", "b (52 % of its variance)"), "width": 1.0, "as_good": ()}
    )
    for name in ("_taken", "_width", "_as_good", "_exposed", "_doubted"):
        monkeypatch.setattr(reading_advice, name, lambda *_: "x")
    found.narrowing = staticmethod(lambda first: 0.1)
    first = type("First", (), {"candidate": type("Candidate", (), {"name": "one"}), "needs": ""})
    assert "they overlap, and need not add up to 100 %" in reading_advice._nothing_helps(found, first)
    found.left = found.left[:1]
    assert "overlap" not in reading_advice._nothing_helps(found, first)


def cautions_of(section):
    return [one.text for one in section.blocks if isinstance(one, Caution)]


def test_the_caution_of_a_hazard_is_said_in_full_once_and_referred_to_after():
    assert NAMES.keys() == CAUTIONS.keys()
    barrel, tip, hand = CAUTIONS["barrel"], CAUTIONS["tip"], CAUTIONS["hand"]
    first = Section("Forces", (Paragraph("text"), Caution(f"Read at 249 kPa. {barrel}"), Caution(tip)))
    second = Section("Next", (Caution(f"Guide the load. {barrel}"), Paragraph("text"), Caution(hand)))
    third = Section("All", (Caution(barrel), Caution(tip), Caution(hand), Caution("Dust: wear a mask.")))
    found = said_once((first, second, third))
    assert found[0] == first
    assert cautions_of(found[1]) == [
        "Guide the load.",
        hand,
        "The cautions of pressure in a barrel under “Forces” hold here too.",
    ]
    assert cautions_of(found[2]) == [
        "Dust: wear a mask.",
        "The cautions of pressure in a barrel and tips under “Forces”; of pushing by hand under “Next” hold here too.",
    ]


@pytest.mark.slow
def test_no_caution_of_a_machine_stands_twice_in_an_appendix():
    said = " ".join(one.text for one in appendix("olive-stone-paste").blocks() if isinstance(one, Caution))
    counts = {hazard: said.count(words) for hazard, words in CAUTIONS.items()}
    assert counts["barrel"] == counts["tip"] == counts["pinch"] == 1
    assert max(counts.values()) == 1


def test_of_further_batches_no_date_is_borrowed():
    said = material._dates
    own = rk.Specimen(paste="p", batch="A", date="2026-03-02")
    assert said(own, ["A"]) == "2026-03-02"
    assert said(own, ["A", "B", "C"]) == "2026-03-02 (of batch A); of batches B, C: not stated"
    assert said(rk.Specimen(paste="p", batch="A"), ["A", "B"]) == "not stated; of batch B: not stated"


@pytest.mark.slow
def test_residuals_of_several_batches_are_not_called_those_of_the_median_one():
    fit = rk.Workbook.open(DATA / "olive-stone-series").fit
    assert fit.problem.batches
    shown = str(charts.residuals(fit, charts.RATE).to_dict()["title"])
    assert f"{len(fit.problem.batches)} batches, each reading against the law of its own" in shown
    assert "median batch" not in shown


@pytest.mark.slow
def test_what_the_air_content_holds_beside_what_was_stated_is_said():
    section = material.section(study())
    note = next(one.note for one in section.blocks if getattr(one, "name", "") == "properties")
    assert "1 % of the volume" in note and "common practice, no source" in note


@pytest.mark.slow
def test_what_follows_from_a_file_stands_in_the_units_of_the_page():
    """As everywhere else: a flow in mm³/s, and never 1.2e-09 m³/s; what the file holds stands in SI beside what was typed."""
    found = {one.name: one for one in appendix("olive-stone-paste").tables}
    heads = found["readings-1"].columns
    assert heads[-1] == "Q flow rate [mm³/s]"
    assert str(found["readings-1"].rows[0][-1]) == "2.800"
    assert found["readings-3"].columns[-1].endswith("[m]")


@pytest.mark.slow
def test_without_an_extruder_nothing_is_said_to_be_computed_without_its_friction(tmp_path):
    found = assumed.section(Study(rk.Workbook.open(poor(tmp_path / "poor"))))
    assert not any("Computed without" in getattr(one, "text", "") for one in found.blocks)


@pytest.mark.slow
def test_what_the_specimen_states_is_listed_as_stated_and_nothing_says_that_all_was_measured(tmp_path):
    found = assumed.section(Study(rk.Workbook.open(poor(tmp_path / "poor"))))
    assert not [one for one in found.blocks if "was measured or fitted" in getattr(one, "text", "")]
    (table,) = (one for one in found.blocks if getattr(one, "name", "") == "assumed")
    (row,) = (row for row in table.rows if row[1] == "density")
    assert row[0] == "stated" and row[-1].startswith("stated of the specimen")


def test_no_spread_is_said_to_be_stated_where_nothing_was_fitted(tmp_path):
    place = poor(tmp_path / "none", '[[test]]\nkind = "no such test"\n')
    told = " ".join(getattr(one, "text", "") for one in assumed.section(Study(rk.Workbook.open(place))).blocks)
    assert "Spreads: not known, since nothing was fitted." in told and "Every spread" not in told


@pytest.mark.slow
def test_a_page_with_a_decimal_comma_says_what_keeps_its_point(tmp_path):
    book = rk.Workbook.open(poor(tmp_path / "poor"))
    said = {}
    for mark, decimal in (("point", nullcontext), ("comma", rk.nomenclature.with_comma)):
        with decimal():
            said[mark] = composing._subtitle(Study(book))
    assert composing.COMMA in said["comma"]
    assert composing.COMMA not in said["point"]


def test_a_long_word_comes_apart_after_its_hyphen_and_else_in_pieces():
    assert pieces("the Weissenberg-Rabinowitsch rate", 20) == ["the Weissenberg-", "Rabinowitsch rate"]
    assert pieces("a" * 40, 20) == ["a" * 16, "a" * 16, "a" * 8]
