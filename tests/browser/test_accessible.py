"""Names for assistive technology, as far as they go without a browser; test_harness.py sees them in one."""

import pytest
from ipywidgets import FloatSlider

from rheokit.widgets.page.accessible import name


def test_a_new_name_replaces_the_old_and_other_classes_stay():
    slider = FloatSlider().add_class("wide")
    assert name(slider, "Yield stress [Pa]") is slider
    name(slider, "Viscosité, 50 %")
    assert slider._dom_classes == ("wide", "accessible-name:Viscosit%C3%A9%2C%2050%20%25")


def test_a_name_that_says_nothing_is_refused():
    with pytest.raises(ValueError, match="says nothing") as refusal:
        name(FloatSlider(), " ")
    assert str(refusal.value) == (
        "accessible name of a FloatSlider: ' ' says nothing; give the quantity and its unit, as in 'Yield stress [Pa]'."
    )
