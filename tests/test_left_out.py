"""Rows that a [[test]] passes over and tests that a plan leaves out: named with their readings, marked, and what the answers are with them. All invented."""

import numpy as np
import pytest
from test_appendix_sections import folder

import rheokit as rk
from rheokit.appendix import left_out
from rheokit.appendix.document import Paragraph, Points, Table
from rheokit.appendix.sections import protocol, readings
from rheokit.appendix.study import Study
from rheokit.reading.passed_over import passed_over

RATES = (0.1, 0.3, 1, 3, 10, 30, 100)
NOISE = (1.01, 0.99, 1.012, 0.985, 1.004, 1.01, 0.992)
STRESSES = [(60 + 25 * rate**0.5) * by for rate, by in zip(RATES, NOISE, strict=True)]
CURVE = "shear rate [1/s], shear stress [Pa]\n" + "".join(
    f"{rate}, {stress:.4f}\n" for rate, stress in zip(RATES, STRESSES, strict=True)
)
BAD = CURVE.replace("\n0.1,", "\n0.03, 120.5\n0.1,")  # row 2, that nobody would keep
FIRST = (
    '[specimen]\npaste = "mine"\n[[test]]\nkind = "flow curve"\nfile = "a.csv"\nuncertainty = "2 %"\nlabel = "first"\n'
)
SECOND = '[[test]]\nkind = "flow curve"\nfile = "{}.csv"\nuncertainty = "2 %"\nlabel = "second"\n{}'


def study(place, choice="", more="", plan="", **files):
    folder(place, FIRST + choice + more, **({"a_csv": BAD} | files))
    if plan:
        (place / "plan.toml").write_text(plan, encoding="utf-8")
    return Study(rk.Workbook.open(place))


def told(study_):
    return left_out.blocks(study_, readings.heads_of(study_))


@pytest.mark.parametrize(
    ("choice", "rows"), [('rows = "3-8"', (2, 9)), ('rows = "4, 6-9"', (2, 3, 5)), ('rows = "2-9"', ())]
)
def test_rows_that_no_test_reads_are_found_with_what_stands_in_them(tmp_path, choice, rows):
    found = passed_over(study(tmp_path / "mine", choice).bench)
    assert [number for one in found for number in one.rows] == list(rows)
    lines = BAD.split("\n")
    for one in found:
        assert one.choices == choice
        assert [", ".join(cells) for cells in one.cells] == [lines[number - 1] for number in rows]


def test_runs_and_branch_pass_over_rows_too(tmp_path):
    both = CURVE + "30, 190\n10, 140\n"
    for choice in ("runs = [1]\nbranch = 'up'", "branch = 'up'"):
        (one,) = passed_over(study(tmp_path / choice[:3], choice, a_csv=both).bench)
        assert one.rows == (9, 10) and one.cells == (("30", "190"), ("10", "140"))
        assert 'branch = "up"' in one.choices


def test_a_folder_that_leaves_out_nothing_says_so(tmp_path):
    for choice in ("", 'rows = "2-9"'):
        assert told(study(tmp_path / f"mine{len(choice)}", choice)) == [Paragraph(left_out.NOTHING)]


def test_rows_of_one_file_that_two_tests_share_are_no_ones(tmp_path):
    made = study(tmp_path / "mine", 'rows = "3-5"\n', SECOND.format("a", 'rows = "7-9"'))
    (one,) = passed_over(made.bench)
    assert one.rows == (2, 6) and [test.label for test in one.others] == ["second"]
    said = told(made)
    assert said[1].texts[0].endswith("None of the tests that read this file reads them.")
    assert "several tests read a.csv, so that nobody can tell whose the rows are" in said[-1].text


def test_a_file_that_cannot_be_read_whole_says_why(tmp_path):
    made = study(tmp_path / "mine", 'rows = "3-9"', a_csv=BAD.replace("0.03, 120.5", "0.03, -5"))
    said = told(made)
    assert (
        said[1]
        .texts[0]
        .startswith(
            "a.csv, flow curve 'first' (rows = \"3-9\"): 1 row passed over: row 2: shear rate [1/s] 0.03, shear stress [Pa] -5."
        )
    )
    assert said[-1].text.startswith("What leaving it out does: not known, no fit with it can be made. ")
    assert "row 2" in said[-1].text


def test_the_row_stands_in_the_protocol_and_marked_among_the_raw_readings(tmp_path):
    made = study(tmp_path / "mine", 'rows = "3-9"\nnote = "unsteady"')
    points = next(
        one for one in protocol.section(made).blocks if isinstance(one, Points) and "passed over" in one.texts[0]
    )
    assert points.texts == (
        "a.csv, flow curve 'first' (rows = \"3-9\"): 1 row passed over: row 2: shear rate [1/s] 0.03, shear stress [Pa] 120.5.",
        "The reason, and when it was decided: as a note of the test says, below.",
    )
    table = readings.section(made).sections[0].blocks[0]
    assert table.columns[-1] == "use" and [str(row[-1]) for row in table.rows] == ["left out", *["read"] * 7]
    assert [str(one) for one in table.rows[0][:3]] == ["2", "0.03", "120.5"]
    assert 'and 1 row of the file that was passed over (rows = "3-9"), marked as left out' in table.caption


def answers(made):
    (table,) = [one for one in told(made) if isinstance(one, Table)]
    return {row[0]: [one.value for one in (*row[1:4], *row[5:8])] for row in table.rows}, table


@pytest.mark.slow
def test_what_leaving_out_a_row_does_is_a_fit_of_all_rows(tmp_path):
    found, table = answers(study(tmp_path / "mine", 'rows = "3-9"', plan='[page.appendix]\nexclusions = "as it was"\n'))
    rates, stresses = np.array([0.03, *RATES]), np.array([120.5, *(round(one, 4) for one in STRESSES)])
    for place, keep in ((0, slice(1, None)), (3, slice(None))):
        curve = rk.FlowCurve(
            shear_rate=rates[keep], shear_stress=stresses[keep], relative_uncertainty=0.02, model_error=0.02
        )
        fit = rk.fit(rk.HerschelBulkley, curve)
        assert found["yield stress (extrapolated)"][place] == pytest.approx(fit.law.yield_stress, rel=1e-3)
        assert found["shear stress at 10 1/s"][place] == pytest.approx(float(fit.law.shear_stress(10.0)), rel=1e-3)
    assert table.note.startswith("With it: ") and "checks failed" in table.note


@pytest.mark.slow
def test_what_leaving_out_a_test_by_the_plan_does_is_told_and_the_test_is_marked(tmp_path):
    stiff = CURVE.replace("0.1,", "0.12,")
    made = study(
        tmp_path / "mine", "", SECOND.format("b", ""), '[fit]\nleave_out = ["second"]\n', a_csv=CURVE, b_csv=stiff
    )
    found, _ = answers(made)
    assert found["yield stress (extrapolated)"][0] != found["yield stress (extrapolated)"][3]
    assert told(made)[1].texts[0].startswith("Left out of the fit by the plan: second.")
    assert told(made)[1].texts[1] == "The reason, and when it was decided: not stated."
    captions = [one.blocks[0].caption for one in readings.section(made).sections]
    assert ["left out of the fit by the plan" in one for one in captions] == [False, True]
