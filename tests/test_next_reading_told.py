"""What is said of readings that could be taken next: what cannot be foretold, tools, shares that overlap, cautions, and the planned nozzle.

No number from outside is held here but the pressure of the planned push, which is that of the question itself.
"""

import warnings

import numpy as np
import pytest

import rheokit as rk
from rheokit.planning.candidate import LOCAL, Candidate, tools_lacking
from rheokit.planning.candidates import candidates_of
from rheokit.planning.planned_push import planned_push
from rheokit.planning.ranked_readings import Ranked
from rheokit.planning.reading_advice import HEADINGS, cautions_of, notes_of, remarks_of
from rheokit.widgets.fit.next_panel import NextPanel
from rheokit.workbook.questions import questions


def test_a_heading_tells_what_is_taken_off():
    assert [one for one in HEADINGS if "taken off" in one and "taken off the width" not in one] == []


def yield_stress(law):
    """Ask for the yield stress [Pa]."""
    return law.yield_stress


def fitted(*tests, law=rk.HerschelBulkley):
    """Return a fit; that its checks fail is no surprise here."""
    with warnings.catch_warnings(action="ignore"):
        return rk.fit(law, *tests)


@pytest.fixture(scope="module")
def mud():
    """A bench of slump and plate, which fixes the yield stress alone (INVENTED)."""
    slump = rk.FrustumSlump(
        height=0.1, top_diameter=0.06, bottom_diameter=0.09, density=1150.0, slump=[0.05, 0.052],
        relative_uncertainty=0.05, model_error=0.25,
    )  # fmt: skip
    plate = rk.LoadedPlate(
        volume=5e-6, force=9.81, radius=[0.029, 0.0295], wall_friction=0.9, wall_friction_uncertainty=0.1,
        model_error=0.15, relative_uncertainty=0.02,
    )  # fmt: skip
    return fitted(slump, plate)


@pytest.fixture(scope="module")
def of_mud(mud):
    return rk.next_reading(mud, yield_stress, unit="Pa")


# --- what cannot be foretold ----------------------------------------------------------------------------------------------------


def test_what_the_failed_check_asks_for_is_never_nothing_new(of_mud):
    said = dict(remarks_of(of_mud))["readings at several rates by a flow curve"]
    assert "nothing new" not in said
    assert said.startswith("Would show what these readings leave open.")
    assert said.endswith(
        "Cannot be foretold from these readings: they do not fix consistency and flow index; it is what the failed check asks for."
    )
    row = of_mud.table[of_mud.table.candidate == "readings at several rates by a flow curve"].iloc[0]
    assert row.exposes == "what these readings leave open"
    assert row.place == "apart"


def test_and_it_stands_first_in_the_sentence(of_mud):
    assert of_mud.said.startswith(
        "Apart from the others stands readings at several rates by a flow curve (needs a viscometer), "
    )
    assert "it is what the failed check asks for. Nothing cheap will help" in of_mud.said


def test_only_what_was_foreseen_can_repeat(of_mud):
    for one in of_mud.ranked:
        assert one.repeats == one.candidate.name.startswith("repeat"), one.candidate.name


def test_one_batch_more_is_always_named_and_says_why_it_is_not_foretold(mud, of_mud):
    more = [one for one in of_mud.ranked if one.candidate.name.startswith("a batch more")]
    assert [one.doubt for one in more] == [
        "cannot be foretold: how far batches lie apart is known of three that were read, or more"
    ]
    assert more[0].candidate.shows == "how far a batch lies off: one alone was read"
    assert of_mud.exposing.candidate is not more[0].candidate, "no batch shows a wrong law"
    assert more[0].candidate.name in [one.name for one in candidates_of(mud, batch="next")]


# --- tools -----------------------------------------------------------------------------------------------------------------------


def test_tools_that_nothing_was_made_with_are_named_and_what_is_best_without_them(mud, of_mud):
    needs = dict(zip(of_mud.table.candidate, of_mud.table.needs, strict=True))
    assert needs["yield stress by a vane peak"] == "a vane and a viscometer"
    assert needs["repeat: loaded plate"] == ""
    vane = next(one for one in candidates_of(mud) if "vane" in one.name)
    found = rk.next_reading(mud, yield_stress, [vane, *mud.tests], unit="Pa")
    plain = str(rk.next_reading(mud, yield_stress, list(mud.tests), unit="Pa"))
    assert "needs" not in plain
    assert "(needs a vane and a viscometer)" in found.said
    assert tools_lacking(mud, mud.tests) == ""


def test_a_first_that_needs_a_tool_has_the_best_without_it_beside():
    curve = rk.FlowCurve(
        shear_rate=[20, 40, 80, 160], shear_stress=[1310, 1500, 1750, 2110], relative_uncertainty=0.03, model_error=0.05
    )
    found = rk.next_reading(fitted(curve), yield_stress, unit="Pa")
    assert found.ranked[0].needs, "a plate, beside a viscometer"
    own = next(one for one in found.ranked if not one.needs)
    assert f"; needs {found.ranked[0].needs})" in found.said
    assert f"With the tools of the readings so far the best is {own.candidate.name}, expected to take " in found.said


# --- shares that overlap, ties, cautions -----------------------------------------------------------------------------------------


def test_shares_of_the_variance_overlap_wherever_they_are_told(of_mud):
    assert sum("of its variance" in one for one in of_mud.left) > 1
    overlap = "they overlap, and need not add up to 100 %"
    assert overlap in of_mud.said
    assert overlap in notes_of(of_mud)[1]


def test_of_those_that_cannot_be_told_apart_none_is_the_best(of_mud):
    assert len(of_mud.as_good) >= 1
    assert "Nothing cheap will help: the best" not in of_mud.said
    assert f"the first of {len(of_mud.as_good) + 1} that cannot be told apart" in of_mud.said


def test_a_caution_is_said_once_sentence_by_sentence():
    first, second = "It falls. Keep feet away. Your laboratory's own rules decide.", "Keep feet away. It burns."
    ranked = [
        Ranked(Candidate(str(k), (), 1.0, "", (one, LOCAL)), None) for k, one in enumerate((first, second, first))
    ]
    assert cautions_of(ranked) == ("It falls. Keep feet away.", "It burns.", LOCAL)


def test_the_fold_lists_cautions_and_names_no_two_regions_alike(mud):
    panel = NextPanel()
    panel.show(mud)
    html = panel.numbers.value
    names = [part.split("'")[0] for part in html.split("aria-label='")[1:]]
    assert len(names) == len(set(names)) == 2
    assert html.count("<li>") == len(panel.found.cautions) >= 3
    assert html.count("own rules") == 0
    assert html.count("Local rules come first.") == 1


# --- the planned nozzle ----------------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_planned_nozzle_itself_can_be_pushed():
    book = rk.Workbook.open("data/olive-stone-paste")
    asked = questions(book.fit, book.plan, book.material_of)["force at this speed"]
    (one,) = planned_push(book.fit, asked.extruder, asked.flow_rate)
    test = one.tests[0]
    assert one.name == "push the planned nozzle: syringe force at 25.1 mm³/s"
    assert test.nozzle is asked.extruder.nozzle
    rig = book.fit.known(asked.extruder).at(book.fit.nuisance)
    assert float(test.force[0]) == pytest.approx(float(asked.quantity(book.fit.law, rig)), rel=0.02)
    assert any("rated barrel" in said for said in one.cautions) or np.max(test.pressures(book.fit.nuisance)) <= 1e5
    again = fitted(*book.fit.tests, test, law=book.fit.problem.law_class)
    assert planned_push(again, asked.extruder, asked.flow_rate) == (), "what was read is a repeat"
