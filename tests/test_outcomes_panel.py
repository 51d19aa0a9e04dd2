"""The fold of a page in which predictions are kept and what came out is typed."""

import shutil

import pytest

import rheokit as rk
from rheokit.machine.cautions import CAUTIONS
from rheokit.planning.predicted import Predicted, Predictions
from rheokit.widgets.page import outcome_words as words
from rheokit.workbook import shelf
from rheokit.workbook.outcomes import NAME
from rheokit.workbook.outcomes.record import Outcomes

pytestmark = pytest.mark.slow  # a page to make
MADE = Predictions(
    (
        Predicted("force", 50.0, 40.0, 65.0, doubt="outside the readings: shear rate"),
        Predicted("printed", 0.8, holds="Every limit judged holds: lean."),
    ),
    {"start force": "break_loose_friction not known"},
)


@pytest.fixture
def panel(tmp_path, monkeypatch):
    """Return the fold of a page of a folder of one's own, opened; what it predicts is told, and not computed."""
    folder = tmp_path / "paste"
    shutil.copytree(shelf.demo("olive-stone-paste"), folder)
    monkeypatch.setattr(Outcomes, "predictions", lambda self: MADE)
    page = rk.widgets.RecipePage(folder)
    page.outcomes.unfold()
    page.outcomes.made.of_page = page
    return page.outcomes.made


def offered(panel):
    return [row.children for row in panel.offered.children[:-1]]


def test_what_is_predicted_is_told_with_doubt_cautions_and_what_is_not(panel):
    assert "No prediction is kept yet." in panel.every.value
    panel.ask.click()
    (_, force), (_, printed) = offered(panel)
    assert (
        "Force on the plunger while it runs: 50 N (95 % 40 to 65 N). To be doubted: outside the readings: shear rate."
        in force.value
    )
    assert "It prints within every limit that was judged: 80 of 100." in printed.value
    last = panel.offered.children[-1].value
    assert CAUTIONS["barrel"].partition(":")[0] in last and "break-loose friction not known" in last
    assert panel.kept.value == "<div role='status'></div>"


def test_kept_typed_and_scored(panel):
    panel.ask.click()
    for button, _ in offered(panel):
        button.click()
    assert "Kept as number 2: printed 80 of 100." in panel.kept.value
    panel.which.value = 1
    assert panel.observed.description == "observed [N], or with another unit"
    panel.observed.value, panel.batch.value = "70 mm", "B3"
    panel.write.click()
    assert "the unit [mm] is not that of a force: write N, kN or kgf" in panel.refused["observed"].value
    assert panel.observed.value == "70 mm"  # nothing that was typed is lost
    panel.observed.value, panel.on.value = "-4", "1999-01-01"
    panel.write.click()
    assert "-4" in panel.refused["observed"].value and "no unit" not in panel.refused["observed"].value
    assert "what is known already is not predicted" in panel.refused["on"].value
    panel.observed.value, panel.on.value = "70", ""
    panel.write.click()
    assert "Written down: 70 N came out of number 1." in panel.refused[""].value
    assert not panel.refused["observed"].value and not panel.refused["on"].value
    assert panel.which.value == 2 and panel.observed.layout.display == "none" and panel.true.layout.display != "none"
    assert panel.true.value == ""  # nothing is observed before somebody says so
    panel.write.click()
    assert "what came out is not known" in panel.refused["observed"].value
    panel.true.value = "no"
    panel.write.click()
    assert "0 of 1 observed lie in their 95 % interval" in panel.told.value
    assert panel.quantity.options == ("force", "printed")
    panel.quantity.value = "printed"
    assert "printed" in panel.picture.spec["description"] and "1 outcome" in panel.picture.spec["description"]
    assert "B3" in panel.every.value and "INVENTED" in panel.every.value
    panel.which.value = 1
    panel.observed.value = "60"
    panel.write.click()
    assert "it is known already what came out, 70 N" in panel.refused[""].value
    panel.correct.value = True
    panel.write.click()
    assert "Written down: 60 N came out of number 1." in panel.refused[""].value


def test_two_presses_keep_one_prediction(panel):
    panel.ask.click()
    button, _ = offered(panel)[0]
    button.click()
    button.click()
    assert len(panel.of_page.workbook.outcomes) == 1
    assert button.disabled and button.description == "Kept as number 1"


def test_what_is_asked_makes_no_record_old(panel):
    panel.ask.click()
    offered(panel)[0][0].click()
    panel.ask.click()
    assert not [one for one in (panel.told, panel.every, panel.picture) if "old" in one._dom_classes]


def test_nothing_is_predicted_of_readings_that_the_page_does_not_show(panel):
    panel.ask.click()
    (button, _), *_ = offered(panel)
    bench = panel.of_page.workbook.folder / "bench.toml"
    bench.write_text(bench.read_text("utf-8") + "\n# changed\n", "utf-8")
    button.click()
    assert not (panel.of_page.workbook.folder / NAME).exists()
    panel.ask.click()
    assert "was changed since this page read it" in panel.kept.value and panel.offered.children == ()


def test_other_settings_are_asked_anew(panel):
    panel.ask.click()
    button, _ = offered(panel)[0]
    panel.of_page.workbook.plan.put("print", "print_speed", "7 mm/s")
    button.click()
    assert panel.offered.children == () and "The settings were changed: ask anew what is predicted." in panel.kept.value
    assert not (panel.of_page.workbook.folder / NAME).exists()


def test_a_change_on_the_page_takes_the_offer_away(panel):
    panel.ask.click()
    page = panel.of_page
    page._plan_changed(page.workbook.plan)
    assert panel.offered.children == ()


def test_a_record_that_cannot_be_read_is_told_and_nothing_can_be_typed(panel):
    place = panel.of_page.workbook.folder / NAME
    place.write_text("mine,own\n1,2\n", "utf-8")
    panel.refresh()
    assert "row 1: column 'number' is not there" in panel.message.value.replace("&#x27;", "'")
    assert panel._typed.layout.display == "none"
    panel.ask.click()
    offered(panel)[0][0].click()
    assert "is not there" in panel.kept.value and place.read_text("utf-8") == "mine,own\n1,2\n"


def test_another_paste_has_another_record(panel, tmp_path):
    panel.ask.click()
    offered(panel)[0][0].click()
    page = panel.of_page
    other = tmp_path / "other"
    shutil.copytree(shelf.demo("olive-stone-paste"), other)
    page.open_folder(other)
    assert page.outcomes.made is not panel and "No prediction is kept yet." in page.outcomes.made.every.value


def test_the_page_of_the_fit_has_no_such_fold():
    page = rk.widgets.FitPage(shelf.demo("olive-stone-paste"))
    assert page.outcomes not in page.children


def test_where_nothing_is_predicted_the_reason_is_in_view(panel, monkeypatch):
    monkeypatch.setattr(Outcomes, "predictions", lambda self: Predictions((), {"force": "needs bore at the tip"}))
    panel.ask.click()
    (said,) = panel.offered.children
    assert "needs bore at the tip" in said.value and "<details>" not in said.value and "Caution" not in said.value


def test_a_doubt_that_is_a_sentence_ends_with_one_stop():
    said = words.prediction(
        "50 N", "force", "2 of 23 checks failed: read them before use. Leave out the test that is wrong."
    )
    assert said.endswith("that is wrong.") and ".." not in said
