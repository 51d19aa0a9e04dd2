"""An exercise: the answer is not there until a prediction is, and the comparison says what it says.

Kind: exact.
"""

import re

import pytest

import rheokit as rk
from rheokit.widgets import Exercise
from rheokit.widgets.exercise.explorer import compared


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
