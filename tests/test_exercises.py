"""An exercise: the answer is not there until a prediction is, and the comparison says what it says.

Kind: exact.
"""

import re
import shutil

import pytest

import rheokit as rk
from rheokit.widgets import Exercise
from rheokit.widgets.exercise.explorer import compared
from rheokit.widgets.page.accessible import JUDGED
from rheokit.widgets.page.elements import STYLE


@pytest.fixture(autouse=True)
def nothing_predicted(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path))


def everything(widget):
    """Return all that a page gets to know of a widget and what is in it."""
    children = getattr(widget, "children", ())
    return "".join([repr(widget.get_state()), *map(everything, children)])


@pytest.fixture
def splash():
    return Exercise("Stiff", "How much water?", 65.73, unit="g", because="The batch holds 277 g of dry matter.")


def test_the_answer_is_not_in_the_page_before_a_prediction(splash):
    assert "65.7" not in everything(splash)
    assert "277 g" not in everything(splash)
    splash.field.value = "250"
    assert "277 g" not in everything(splash)  # typed, not yet said
    splash.show.click()
    assert "65.7" in splash.answer.value
    assert "277 g" in splash.answer.value
    assert splash.prediction == 250


@pytest.mark.parametrize("typed", ["", "  ", "a lot", "nan", "inf", "1e999"])
def test_without_a_number_nothing_is_shown(splash, typed):
    splash.field.value = typed
    splash.show.click()
    assert splash.answer.value == ""
    assert splash.prediction is None
    assert splash.verdict == ""
    assert "role='alert'" in splash.message.value
    (place,) = (one for one in splash.children if JUDGED in one._dom_classes)
    assert {splash.field, splash.message} <= set(place.children), "what is refused is told with its message"
    assert not splash.show.disabled
    splash.field.value = "60 g"
    splash.show.click()
    assert splash.prediction == 60
    assert splash.message.value == ""


def test_there_is_one_prediction(splash):
    splash.field.value = "70,5"
    splash.show.click()
    assert splash.prediction == 70.5
    assert splash.field.disabled
    assert splash.show.disabled


def test_a_choice():
    asked = Exercise("Choice", "Which?", "<b>second", choices=("first", "<b>second"))
    asked.show.click()
    assert "Choose your prediction first" in asked.message.value
    asked.field.value = "first"
    asked.show.click()
    assert asked.verdict == "You predicted: first. Computed: <b>second."
    assert "<b>second" not in asked.answer.value  # escaped


@pytest.mark.parametrize(
    ("predicted", "computed", "words"),
    [
        (100.0, 50.0, "Your prediction is 2 times the computed value."),
        (20.0, 50.0, "The computed value is 2.5 times your prediction."),
        (52.0, 50.0, "That is close."),
        (50.0, 50.0, "That is it."),
        (0.0, 50.0, "They differ by 50 kPa."),
        (-5.0, 50.0, "They differ by 55 kPa."),
        (-20.0, -50.0, "The computed value is 2.5 times your prediction."),
    ],
)
def test_numbers_are_compared_in_words(predicted, computed, words):
    said = compared(predicted, computed, "kPa")
    assert said.endswith(words)
    assert re.match(r"You predicted -?\d+ kPa; computed: -?50 kPa\.", said)


def test_an_exercise_that_cannot_be_answered_is_refused():
    with pytest.raises(rk.DataError, match="is not among its choices"):
        Exercise("T", "?", "c", choices=("a", "b"))
    with pytest.raises(rk.DataError, match="is no number to predict"):
        Exercise("T", "?", float("nan"))


def test_a_prediction_outlives_the_page_and_can_be_taken_back(splash):
    splash.field.value = "250"
    splash.show.click()
    again = Exercise("Stiff", "How much water?", 65.73, unit="g", because="The batch holds 277 g of dry matter.")
    assert again.prediction == 250 and again.verdict == splash.verdict and again.show.disabled
    other = Exercise("Stiff", "How much water?", 81.7, unit="g")  # of another paste
    assert other.prediction is None and "81.7" not in everything(other) and "Predict again" in other.message.value
    again.again.click()
    assert again.answer.value == "" and not again.show.disabled and again.field.value == ""
    assert "65.7" not in everything(Exercise("Stiff", "How much water?", 65.73, unit="g"))


def test_a_choice_is_remembered_too():
    asked = ["no", "yes"]
    one = Exercise("Bath", "Longer?", "yes", choices=asked)
    one.field.value = "no"
    one.show.click()
    again = Exercise("Bath", "Longer?", "yes", choices=asked)
    assert again.field.value == "no" and "You predicted: no" in again.verdict
    assert Exercise("Bath", "Longer?", "yes", choices=["yes", "perhaps"]).prediction is None


@pytest.mark.slow
def test_a_projector_enlarges_the_exercises_too_those_that_come_later_as_well(splash):
    page = rk.widgets.ExercisesPage()
    assert "projector" not in splash._dom_classes
    page.picker.projector.value = True
    assert all("projector" in one._dom_classes for one in (page, splash, Exercise("Later", "How much?", 1.0)))
    assert ".jp-Notebook:has(.rheokit-page.projector) .jp-MarkdownCell" in STYLE  # and the text between them
    page.picker.projector.value = False
    assert all("projector" not in one._dom_classes for one in (page, splash, Exercise("Later", "How much?", 1.0)))


def test_the_paste_of_the_exercises_is_taken_where_it_tells_enough(tmp_path):
    usual = rk.Paste(law=rk.Newtonian(viscosity=3.0))
    shown = rk.widgets.ExercisesPage(rk.workbook.demo("olive-stone-series"))
    assert shown.series_or("other") == rk.workbook.demo("olive-stone-series")
    assert shown.gel_or(usual) is usual
    shown.open_folder(rk.workbook.demo("gelatin-dope-40"))
    assert shown.series_or("other") == "other" and shown.gel_or(usual) is usual  # the exercise has a dope of its own
    shutil.copytree(rk.workbook.demo("gelatin-dope-40"), tmp_path / "mine")
    shown.open_folder(tmp_path / "mine")
    assert shown.gel_or(usual).gel_temperature == pytest.approx(306, abs=3)
