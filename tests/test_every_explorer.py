"""What every explorer owes who uses it, whoever added it: names, controls that are heard, refusals beside their field, old marked old.

An explorer that needs nothing to begin with is shown by ``rk.widgets.Name()``; what the others begin with stands in `BEGUN`.
"""

import re

import ipywidgets as W
import numpy as np
import pytest
from dopes import fibre_asked

import rheokit as rk
from rheokit.units import kPa, mm
from rheokit.widgets import EXPLORERS
from rheokit.widgets.page.accessible import AccessibleNames
from rheokit.widgets.page.base import Answering
from rheokit.widgets.page.elements import Later, PageProbe
from rheokit.widgets.page.frame import KeyGuard
from rheokit.widgets.page.freshness import FAILED, OLD, Unheard, dated_in
from rheokit.widgets.page.number_field import NumberField
from rheokit.widgets.page.pictures import Picture

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore:somewhere on the map", "ignore:converging flow")]
CURVE = rk.FlowCurve(
    shear_rate=np.geomspace(0.1, 100, 10),
    shear_stress=300 + 100 * np.geomspace(0.1, 100, 10) ** 0.4 * (1 + 0.01 * np.cos(np.arange(10))),
    relative_uncertainty=0.02,
)
BARE = (W.Text, W.Dropdown, W.Checkbox, W.Textarea, W.Button, W.ToggleButton)  # their description names them
NAMED = (W.ToggleButtons, W.RadioButtons, W.FloatSlider, W.FloatLogSlider)  # those need `name`


def _fit():
    return rk.fit(rk.HerschelBulkley, CURVE)


def _folder(tmp_path):
    return rk.write_bench(rk.Bench(rk.Specimen(paste="clay"), [CURVE]), tmp_path / "clay") and tmp_path / "clay"


def _region(tmp_path):
    nozzle = rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=8 * mm))
    extruder = rk.Extruder(
        barrel_diameter=26.7 * mm, fill_length=60 * mm, nozzle=nozzle, pressure_rating=1000 * kPa,
        drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
    )  # fmt: skip
    job = rk.PrintJob(print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.22)
    return EXPLORERS["RegionExplorer"](
        rk.Material.of(_fit()), extruder, job, up="print_speed", fine=(4, 20), quick=(4, 20)
    )


def _fibre(tmp_path):
    return EXPLORERS["FibreExplorer"](*fibre_asked(), fine=(4, 40))


def _fit_page(tmp_path):
    page = EXPLORERS["FitPage"](_folder(tmp_path))  # whose plan knows no nozzle, so that there is no force
    page.explorer.residuals.unfold()
    return page


def _fit_explorer(tmp_path):
    page = EXPLORERS["FitExplorer"](_folder(tmp_path))
    page.residuals.unfold()
    page.forces.unfold()
    return page


BEGUN = {
    "Exercise": lambda tmp_path: EXPLORERS["Exercise"]("Doubling", "How many times as high?", 1.59, unit="times"),
    "FibreExplorer": _fibre,
    "FitExplorer": _fit_explorer,
    "FitPage": _fit_page,
    "NozzleExplorer": lambda tmp_path: EXPLORERS["NozzleExplorer"](_fit()),
    "RegionExplorer": _region,
}


def within(place, kind):
    """Return the widgets of a kind in another, at any depth, but for what is not shown."""
    if place.layout.display == "none":
        return []
    found = [place] if isinstance(place, kind) else []
    return found + [one for child in getattr(place, "children", ()) for one in within(child, kind)]


@pytest.fixture(scope="module", params=list(EXPLORERS))
def explorer(request, tmp_path_factory):
    begin = BEGUN.get(request.param, lambda tmp_path: EXPLORERS[request.param]())
    with pytest.MonkeyPatch.context() as own:
        own.setenv("RHEOKIT_STATE", str(tmp_path_factory.mktemp("state")))
        yield begin(tmp_path_factory.mktemp("begun"))


def test_every_explorer_is_a_page_that_can_be_shown(explorer):
    assert within(explorer, KeyGuard) and within(explorer, AccessibleNames)
    assert "rheokit-page" in explorer._dom_classes
    assert (
        getattr(rk.widgets, type(explorer).__name__) is type(explorer) and type(explorer).__name__ in rk.widgets.__all__
    )
    assert type(explorer).__doc__ and len(repr(explorer)) < 300
    if within(explorer, NumberField):  # it computes: marks of what is old, colour and width of the page
        assert within(explorer, Unheard) and within(explorer, PageProbe)
        assert not any(OLD in one._dom_classes for one in dated_in(explorer))


def test_every_control_has_a_name(explorer):
    for control in within(explorer, (*BARE, *NAMED)):
        given = [one for one in control._dom_classes if one.startswith("accessible-name:")]
        assert given or (isinstance(control, BARE) and control.description.strip()), control
    for field in within(explorer, NumberField):
        assert field.unit is not None, f"{field.words}: name the unit, [-] where there is none"


def test_every_picture_is_said_in_words(explorer):
    for picture in within(explorer, Picture):
        assert picture.chart is not None
        said = " ".join(re.sub(r"<[^>]+>", " ", one.value) for one in within(explorer, W.HTML))
        assert re.sub(r"\W+", "", picture.chart.description)[:60] in re.sub(r"&\w+;|\W+", "", said)


def test_a_wrong_number_is_refused_beside_its_field_and_what_stands_is_old_until_it_is_mended(explorer):
    fields = [field for field in within(explorer, NumberField) if field.holds]
    for field in (fields[:1] + fields[-1:]) if isinstance(explorer, Answering) else ():
        begun, pictures = field.text.value, [one for one in within(explorer, Picture) if one.chart is not None]
        field.text.value = "five"
        assert "is not a number" in field.note.value and field.note.layout.display is None
        old = [one for one in dated_in(explorer) if one.shows and FAILED in one._dom_classes]
        assert old and all(OLD in one._dom_classes for one in old)
        assert all(picture.chart is not None for picture in pictures), "the last one stays, marked old"
        field.text.value = begun
        assert field.note.layout.display == "none"
        assert not any(OLD in one._dom_classes for one in dated_in(explorer))


def test_every_number_is_heard(explorer, monkeypatch):
    """From the last to the first, since what stands below waits for what stands above. Nothing is shown of it afterwards."""
    begins = []
    monkeypatch.setattr(Later, "start", lambda *steps: begins.append(steps))
    for field in reversed(within(explorer, NumberField)):
        begun, before = field.text.value, len(begins)
        low, high = (max(min(end, 1e6), -1e6) for end in field.bounds[:2])
        field.text.value = f"{0.4 * low + 0.6 * high:.3f}"
        assert len(begins) > before, f"nothing is computed anew after a change of {field.words}"
        field.text.value = begun
