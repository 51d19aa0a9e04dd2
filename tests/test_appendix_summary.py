"""The first page of an appendix: each answer is that of the section it stands in, or says why it is not known."""

import math
import shutil
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from test_appendix_sections import DATA, DATE, poor

import rheokit as rk
from rheokit.appendix.composing import _warned, appendix_of
from rheokit.appendix.document import Caution, Section, Table
from rheokit.appendix.page import html
from rheokit.appendix.sections import fibre, forces, limits, modules, part, summary
from rheokit.appendix.study import Study
from rheokit.appendix.what_came_out import BELONGS, came_out, misses
from rheokit.limits import judge
from rheokit.nomenclature import cells, number, with_limits
from rheokit.planning.predicted import FORCE, Predicted
from rheokit.workbook.outcomes.predicted import predicted_of
from rheokit.workbook.outcomes.quantities import QUANTITIES

ASKED = (
    "checks of the fit",
    "rests on",
    "flow law",
    "shear rates read",
    "force on the plunger to run",
    "pressure at the plunger face",
    "limits of the job",
    "what came out of predictions",
)  # of who reads one page and no more (common practice, no source)


def answers(study):
    table = summary.section(study).blocks[-1]
    assert tuple(row[0] for row in table.rows) == ASKED
    return dict(table.rows)


@pytest.mark.slow
def test_the_answers_are_those_of_the_sections():
    study = Study(rk.Workbook.open(DATA / "olive-stone-paste"))
    told = answers(study)
    force = next(one for one in predicted_of(study.book).found if one.quantity == "force")
    assert with_limits(*study.running["force to run"][:3], "N") in told["force on the plunger to run"]
    assert (
        "limits of the fit alone: of the batch that was read, how far the next batch lies off it and the error of the nozzle's theory left out; "
        f"the next batch, with the errors of machine and formula: {cells(*force[1:4], 'N')[1]} N"
        in (told["force on the plunger to run"])
    )
    assert force.low < study.running["force to run"].low and force.high > study.running["force to run"].high
    assert with_limits(study.law.yield_stress, *study.fit.limits("yield_stress"), "Pa", before="") in told["flow law"]
    assert "INVENTED, for demonstration; machine and job INVENTED" in told["rests on"]
    share = float(study.chance.probability[0, 0])
    short = ", which does not reach the 90 asked" if share < 0.9 else ""
    last = f"Every limit judged holds in {100 * share:.2g} of 100 next batches{short}."
    assert told["limits of the job"] == f"Broken: lean; not judged: speed floor. {last}"
    assert told["checks of the fit"] == f"All {len(study.fit.checks)} checks passed."


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.88, ["Every limit judged holds in 88 of 100 next batches, which does not reach the 90 asked."]),
        (0.93, ["Every limit judged holds in 93 of 100 next batches."]),
        (math.nan, []),
    ],
)
def test_a_chance_below_what_windows_and_map_ask_for_is_said_on_the_first_page(share, said):
    study = SimpleNamespace(chance=SimpleNamespace(probability=np.array([[share]])))
    assert summary._chance(study) == said


@pytest.mark.slow
@pytest.mark.parametrize(
    ("share", "said"), [(0.88, "Inside every limit judged, by best values"), (0.93, "Inside every limit judged;")]
)
def test_a_job_that_most_batches_leave_is_not_plainly_inside(share, said, monkeypatch):
    """Kind: exact. The stack of the demo stands and its wall does not lean once it is lower: then all limits judged hold."""
    book = rk.Workbook.open(DATA / "olive-stone-paste")
    book.plan.put("print", "part_height", "8 mm")
    study = Study(book)
    assert not (judge(study.sure_case).verdict == "broken").any()
    monkeypatch.setattr(Study, "chance", SimpleNamespace(probability=np.array([[share]])))
    assert summary._verdict(study).startswith(said)


@pytest.mark.slow
def test_what_is_not_known_says_what_it_lacks_once(tmp_path):
    told = answers(Study(rk.Workbook.open(poor(tmp_path / "poor"))))
    assert "1 of " in told["checks of the fit"] and "Failed: parameters identified." in told["checks of the fit"]
    assert "K not identified, needs readings at several rates" in told["flow law"]
    assert told["shear rates read"] == "none, but the yield stress; the rates of use are not stated."
    assert told["force on the plunger to run"].startswith("not known: ")
    assert "barrel_diameter in plan.toml" in told["force on the plunger to run"]
    assert told["limits of the job"] == "not known, as “force on the plunger to run”."
    assert "INVENTED" not in told["rests on"]


@pytest.mark.slow
def test_nothing_is_called_inside_where_the_fit_warns():
    book = rk.Workbook.open(DATA / "olive-stone-paste")
    book.plan.put("print", "part_height", "")
    study = Study(book)
    assert answers(study)["limits of the job"].startswith("Inside every limit judged, by best values; not judged: ")
    study._made["sure_case"] = replace(study.sure_case, caveats=("7 of 26 checks failed: not to be used.",))
    assert answers(study)["limits of the job"].startswith("No limit judged is broken; not judged: ")


def test_a_folder_without_readings_has_a_summary(tmp_path):
    told = answers(Study(rk.Workbook.open(rk.new_bench(tmp_path / "blank", ["loaded plate"]))))
    assert told["flow law"] == "not known, as “checks of the fit”."
    assert "no reading" in told["checks of the fit"]


def test_the_summary_stands_before_the_contents(tmp_path):
    document = appendix_of(Study(rk.Workbook.open(rk.new_bench(tmp_path / "blank", ["loaded plate"]))), DATE)
    page = html(document)
    assert document.sections[0].title == "Summary" and document.lead == 1
    assert page.index('id="s1"') < page.index("<h2>Contents</h2>") < page.index('id="s2"')
    assert page.count("<h2>Contents</h2>") == 1


def test_what_came_out_stands_in_the_summary_and_beside_the_prediction_that_it_missed(tmp_path):
    """By hand: 52 N lies inside 40 to 65 N, 84 N does not: one of two."""
    place = tmp_path / "own"
    shutil.copytree(DATA / "olive-stone-paste", place)
    study = Study(rk.Workbook.open(place))
    record = study.book.outcomes
    assert came_out(study) == "nothing is recorded of what came out of a prediction."
    before = len(record.all)
    record.keep([Predicted(FORCE, 50.0, 40.0, 65.0), Predicted(FORCE, 50.0, 40.0, 65.0)])
    record.observe(before + 1, "52 N")
    assert "1 of 1 outcome inside the 95 % interval of the prediction" in came_out(study)
    assert misses(study, forces.TITLE) == ()
    record.observe(before + 2, "84 N")
    told = came_out(study)
    assert (
        "1 of 2 outcomes inside the 95 % interval of the prediction; outside: force 84 N against 50 N (95 % 40 to 65 N)"
        in told
    )
    (missed,) = misses(study, forces.TITLE)
    assert (
        f"number {before + 2}, force on the plunger while it runs, 84 N against 50 N (95 % 40 to 65 N), predicted on "
        in missed.text
    )
    assert misses(study, limits.TITLE) == ()
    titles = {one.TITLE for one in (fibre, forces, limits, part)}
    assert set(BELONGS) == set(QUANTITIES)
    assert set(BELONGS.values()) == titles


def test_each_section_of_predictions_of_a_failing_fit_says_that_it_is_not_to_be_used():
    stamp = "9 of 28 checks failed: not to be used."
    bad = SimpleNamespace(
        fit=SimpleNamespace(stamp=stamp), knows=lambda _: True, book=SimpleNamespace(outcomes=SimpleNamespace(all=()))
    )
    good = SimpleNamespace(**(vars(bad) | {"fit": SimpleNamespace(stamp="")}))
    table = Table("standing", "How high it stands.", ("quantity",), (("1 m",),))
    for module in modules():
        section = Section(module.TITLE, (), (Section("How high it stands", (table,)),))
        says = module.TITLE.startswith("Predictions: ") or module.TITLE == "Range of validity"
        assert [one.text for one in _warned(section, bad).blocks] == ([stamp] if says else [])
        assert _warned(section, good) == section
    told = Section(part.TITLE, (Caution(f"{stamp} Broken: lean."), table))
    assert _warned(told, bad) == told, "said once"
    unknown = Section(part.TITLE, (Caution("Not known: no plan."),))
    assert _warned(unknown, bad) == unknown


@pytest.mark.slow
def test_what_it_rests_on_names_what_was_assumed_by_its_share_of_the_variance_and_leaves_out_what_moves_nothing():
    study = Study(rk.Workbook.open(DATA / "olive-stone-paste"))
    told = dict(summary.section(study).blocks[-1].rows)["rests on"]
    (force, yields) = [found.table for _, found in study.budgets]
    of_theory = 100 * float(force.share[force.quantity == "theory of the syringe force"].iloc[0])
    assert of_theory > 50, "else this folder shows nothing"
    assert (
        f"assumed, with its share of the variance of the force: theory of the syringe force ({number(of_theory, 2)} %)"
        in told
    )
    plate = 100 * float(yields.share[yields.quantity == "theory of the loaded plate"].iloc[0])
    assert f"of the variance of the yield stress: theory of the loaded plate ({number(plate, 2)} %)" in told
    assert "friction at the wall of the plates" in told
    assert "heat that warms a volume by 1 K" not in told
