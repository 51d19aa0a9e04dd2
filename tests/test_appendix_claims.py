"""What an appendix claims of itself: what is independent, whose room it is, what an interval leaves out, what is exact, what is known in part."""

import math
import re
import shutil
from dataclasses import replace

import numpy as np
import pytest
from test_appendix_sections import DATA, DATE, poor, texts
from test_appendix_words import OLIVE, study

import rheokit as rk
from rheokit.appendix.authors import MATERIAL, points
from rheokit.appendix.cells import exactly, kept
from rheokit.appendix.composing import appendix_of
from rheokit.appendix.document import Caution, Section
from rheokit.appendix.said_once import said_once
from rheokit.appendix.sections import (
    assumed,
    estimates,
    forces,
    independent,
    limits,
    model,
    outcomes,
    part,
    readings,
    summary,
)
from rheokit.appendix.study import Study
from rheokit.fitting.text import off_one
from rheokit.limits import LIMITS
from rheokit.machine.cautions import CAUTIONS
from rheokit.nomenclature import with_comma
from rheokit.paste.properties import limits_of_property
from rheokit.planning.predicted import FORCE, Predicted


def said(section):
    return "\n".join(getattr(one, "text", "") for one in section.blocks)


def table(section, name):
    return next(one for one in section.blocks if getattr(one, "name", "") == name)


@pytest.mark.slow
def test_where_the_foot_yields_has_the_same_digits_beside_its_limit_and_its_interval():
    study_ = study()
    (beside,) = [row for row in table(limits.section(study_), "limits").rows if row[1] == LIMITS["stack"].label]
    value, *_, unit = rk.nomenclature.cells(*study_.standing.foot, "m")
    assert (str(beside[4]), beside[5]) == (value, unit)


@pytest.mark.slow
def test_what_is_in_the_fit_is_no_independent_check(tmp_path):
    place = poor(tmp_path / "mine")
    section = independent.section(Study(rk.Workbook.open(place)))
    assert "No independent check was made: every reading of the flow is in the fit" in said(section)
    assert section.title == "Independent check, and tests beside one another"
    (place / "plan.toml").write_text('[fit]\nleave_out = ["cylinder slump"]\n', encoding="utf-8")
    section = independent.section(Study(rk.Workbook.open(place)))
    assert "Not in the fit are the readings of cylinder slump, left out by the plan" in said(section)
    assert "No independent check was made" not in said(section)


def test_a_record_knows_the_time_by_its_own_clock_alone(tmp_path):
    shutil.copytree(OLIVE, tmp_path / "own")
    book = rk.Workbook.open(tmp_path / "own")
    book.outcomes.keep([Predicted(FORCE, 50.0, 40.0, 65.0), Predicted(FORCE, 50.0, 40.0, 65.0)])
    book.outcomes.observe(1, "52 N")
    told = said(outcomes.section(Study(book)))
    assert told.startswith("By the record's own clock each prediction was written down before its outcome was typed")
    assert "before what it predicts was tried" not in told
    assert "Observed on the day of the prediction, so that nothing here tells which came first: number 1." in told


def test_room_of_a_hard_limit_says_that_it_is_of_the_next_batch():
    hard, soft = LIMITS["rated pressure"], LIMITS["stack"]
    assert hard.hard and not soft.hard
    assert hard.times(math.log(1.44)) == "1.44 times for the next batch"
    assert soft.times(math.log(1.44)) == "1.44 times"


@pytest.mark.slow
def test_the_value_that_room_is_of_stands_beside_it():
    shown = table(limits.section(study()), "limits")
    hard = [row for row in shown.rows if "A hard limit." in row[-1]]
    assert hard
    for row in hard:
        surely = row[-1].partition("97.5 of 100 next batches stay below ")[2]
        times = row[6].removesuffix(" times for the next batch")
        if surely and times != row[6]:
            assert float(str(row[4])) / float(surely.split()[0]) == pytest.approx(float(times), rel=0.02)
    assert "not on the one shown" in shown.note


def test_what_is_exact_is_written_whole_and_zeros_of_a_column_stay():
    """A kilogram-force is 9.80665 N, an inch 25.4 mm (ISO 80000 and the metre convention: exact by definition)."""
    assert exactly(9.80665).text == "9.80665" and exactly(0.0254).text == "0.0254" and exactly(1.0).text == "1"
    with with_comma():
        assert exactly(9.80665).text == "9,80665"
    assert [kept(one).text for one in (1.0, 0.997, 0.0287, 1070.0, 0.0)] == ["1.00", "0.997", "0.0287", "1070", "0"]
    assert [kept(one, 4).text for one in (0.0287, 0.02794)] == ["0.02870", "0.02794"]


def test_the_factor_of_a_unit_in_the_dictionary_is_whole(tmp_path):
    place = poor(tmp_path / "mine")
    (place / "s.csv").write_text("slump [in]\n1.25\n", encoding="utf-8")
    rows = {row[1]: row for row in table(readings.section(Study(rk.Workbook.open(place))), "data-dictionary").rows}
    assert str(rows["slump [in]"][6]) == "0.0254"
    assert str(rows["radius [mm]"][6]) == "0.001"


@pytest.mark.slow
def test_an_interval_of_the_fit_alone_says_what_it_leaves_out():
    section = forces.section(study())
    shown = table(section, "forces")
    held = (
        "of the batch that was read, how far the next batch lies off it and the error of the nozzle's theory left out"
    )
    assert f"limits of the fit alone: {held}." in shown.caption
    force = next(one for one in study().predicted.found if one.quantity == "force")
    assert shown.note.startswith("Force to run of the next batch, with the errors of machine and formula: ")
    low, high = (float(one) for one in shown.note.split(": ")[1].split(" N")[0].split(" to "))
    assert (low, high) == pytest.approx((force.low, force.high), rel=0.02)
    for name in ("force-speed", "nozzle-pressure"):
        assert forces.alone(study()) in table(section, name).caption


@pytest.mark.slow
def test_what_the_foot_carries_stands_where_the_stiffness_is_not_known():
    book = rk.Workbook.open(OLIVE)
    whole = Study(book)
    before = part._standing
    try:
        part._standing = _no_stiffness
        part_section = part.section(whole)
    finally:
        part._standing = before
    stands = part_section.sections[0]
    assert stands.title == "How high it stands"
    rows = {row[0]: row for row in table(stands, "standing").rows}
    assert rows["height at which the wall leans"][1] == "not known"
    assert float(str(rows["height at which the foot yields while it grows"][1])) > 0
    assert "Young's modulus" in next(one.text for one in stands.blocks if isinstance(one, Caution))


def _no_stiffness(study):
    raise rk.DataError("The part is not known yet: it needs Young's modulus E.")


def test_a_static_yield_stress_is_drawn_and_shown_no_lower_than_the_dynamic_one():
    """Rest does not soften a paste: the ratio is 1 or more, by its definition."""
    law = rk.Bingham(yield_stress=300.0, plastic_viscosity=2.0)
    material = rk.Material(paste=rk.Paste(law=law, static_ratio=1.3, density=1200.0), spreads={"static_ratio": 0.3})
    drawn = np.ravel(material.draws(4000, 0).static_ratio)
    assert drawn.min() == 1.0
    assert np.median(drawn) == pytest.approx(1.3, rel=0.02)
    assert np.quantile(drawn, [0.025, 0.975]) == pytest.approx(limits_of_property("static_ratio", 1.3, 0.3), rel=0.05)
    assert limits_of_property("static_ratio", 1.3, 0.3)[0] == 1.0
    low = replace(material, paste=replace(material.paste, static_ratio=0.9))
    assert np.ravel(low.draws(100, 0).static_ratio).min() < 0.9, "what somebody typed is drawn about it"
    assert limits_of_property("density", 1200.0, 0.1)[0] < 1200.0


@pytest.mark.slow
def test_a_factor_whose_interval_leaves_out_1_is_remarked_on():
    apart = Study(rk.Workbook.open(DATA / "trap-plug-slip"))
    names = off_one(apart.fit)
    assert names
    notes = {row[0]: row[-1] for row in table(estimates.section(apart), "estimates").rows}
    assert {name for name, note in notes.items() if note == "its interval leaves out 1"} == {
        name.replace("_", " ") for name in names
    }
    for name in names:
        assert not apart.fit.table.low[name] <= 1 <= apart.fit.table.high[name]
    first = table(summary.section(apart), "summary").rows[0]
    assert all(name.replace("_", " ") in first[1].partition("Intervals that leave out 1: ")[2] for name in names)


@pytest.mark.slow
def test_limits_of_an_assumed_ratio_begin_at_1(tmp_path):
    place = poor(tmp_path / "mine")
    (place / "plan.toml").write_bytes((OLIVE / "plan.toml").read_bytes())  # without a plan the ratio has no effect
    rows = table(assumed.section(Study(rk.Workbook.open(place))), "assumed").rows
    row = next(row for row in rows if row[1] == "static ratio")
    assert str(row[4]) in ("1", "1.0", "1.00")


@pytest.mark.slow
def test_what_a_limit_lacks_that_was_not_judged_is_said_once():
    book = rk.Workbook.open(OLIVE)
    book.plan.put("drive", "kind", "")
    document = appendix_of(Study(book), DATE)
    alone = {f"{one.caption} {one.words}" for one in document.figures}  # a picture in words stands alone
    why = [
        text
        for text in texts(document)
        if text not in alone and "not judged: " in text.lower() and "(" in text.partition("ot judged: ")[2]
    ]
    lacks = next(row[2] for one in document.tables if one.name == "not-judged" for row in one.rows)
    words = lacks.removeprefix("cannot be judged, ")
    assert words and not [text for text in why if words in text]
    verdict = next(one for one in document.sections if one.title == "Predictions: limits and verdict")
    assert "Not judged, for the reasons in the table below: " in verdict.blocks[0].text


def test_what_authors_did_not_fill_in_stands_in_one_line_a_place(tmp_path):
    study_ = Study(rk.Workbook.open(poor(tmp_path / "mine")))
    assert points(study_, MATERIAL).texts == (
        "Not stated; to be filled in by the authors, [page.appendix] in plan.toml: "
        + "; ".join(f"{words} ({key})" for key, words in MATERIAL.items())
        + ".",
    )
    study_.book.plan.put("page.appendix", "storage", "in a jar")
    first, rest = points(study_, MATERIAL).texts
    assert first == "How it was kept until the test: in a jar"
    assert "storage" not in rest and "suppliers" in rest


@pytest.mark.slow
def test_predictions_that_lack_the_same_are_named_in_one_line(tmp_path):
    document = appendix_of(Study(rk.Workbook.open(poor(tmp_path / "poor"))), DATE)
    titles = [one.title for one in document.sections]
    merged = [one.text for one in document.blocks() if getattr(one, "text", "").startswith("Not predicted either")]
    assert merged
    for name in merged[0].partition(": ")[2].rstrip(".").split("; "):
        assert f"Predictions: {name}" not in titles


def test_the_rules_of_a_laboratory_are_named_once_in_a_box():
    (section,) = said_once((Section("All", (Caution(f"{CAUTIONS['tip']} {CAUTIONS['pinch']} {CAUTIONS['stall']}"),)),))
    text = section.blocks[0].text
    assert text.count("Your laboratory's own rules decide.") == 1 and text.endswith("own rules decide.")
    assert "never look into a blocked one. The pusher" in text


@pytest.mark.slow
def test_the_end_of_a_hard_limit_has_the_standard_error_of_its_draws():
    shown = table(limits.section(study()), "limits")
    (hard,) = [row for row in shown.rows if row[1] == LIMITS["rated pressure"].label]
    assert re.search(
        r"stay below [0-9.]+ k?Pa \(by 1000 joint draws, standard error by their number [0-9.]+ k?Pa\)\.", hard[-1]
    ), hard
    assert limits.ENDS.strip() in shown.note


@pytest.mark.slow
def test_an_estimate_has_one_text_in_every_table_and_a_stress_one_at_each_rate():
    known = {(str(row[0]), str(row[1])): str(row[2]) for row in table(estimates.section(study()), "estimates").rows}
    told = table(model.section(study()), "priors").rows
    beside = [
        (f"{row[0]}[{row[2]}]" if str(row[2]) != "all tests" else str(row[0]), str(row[1]), str(row[7])) for row in told
    ]
    both = [(known[name, symbol], text) for name, symbol, text in beside if (name, symbol) in known]
    assert both and all(one == other for one, other in both), both
    stresses: dict[str, set[str]] = {}
    for row in table(estimates.section(study()), "stresses").rows:
        stresses.setdefault(str(row[0]), set()).add(str(row[1]))
    assert all(len(texts_) == 1 for texts_ in stresses.values()), stresses
