"""Every entry of a plan has its field on the page that people are sent to for it. Kind: exact."""

import shutil
from urllib.parse import unquote

import pytest

import rheokit as rk
from rheokit.widgets.page.layout import Fold
from rheokit.widgets.page.machine_words import WHENCE_OF
from rheokit.widgets.page.number_field import NumberField
from rheokit.widgets.page.paste_fields import PasteFields
from rheokit.workbook import ASKED, demo
from rheokit.workbook.made import page_of

pytestmark = pytest.mark.slow  # whole pages
PAGES = {
    2: [(rk.widgets.NozzleExplorer, "olive-stone-paste"), (rk.widgets.NozzleExplorer, "gelatin-dope-40")],
    4: [(rk.widgets.RecipeExplorer, "olive-stone-paste")],
    6: [(rk.widgets.FibreExplorer, "gelatin-dope-40")],
}
NUMBERS = [
    (table, key) for table, held in ASKED.items() for key, entry in held.items() if entry.is_number and table != "fit"
]

CHOSEN = [
    (table, key)
    for table, held in ASKED.items()
    for key, entry in held.items()
    if not entry.is_number and table != "fit"
]
CHOSEN.remove(("job", "kind"))  # by the page itself


def inside(place):
    """Return every widget of a page, its folds opened."""
    if isinstance(place, Fold):
        place.unfold()
    yield place
    for child in getattr(place, "children", ()):
        yield from inside(child)


def names_of(choice):
    """Return what a choice is called on the page and by a screen reader."""
    named = [one.partition(":")[2] for one in choice._dom_classes if one.startswith("accessible-name:")]
    return [choice.description, *map(unquote, named)]


@pytest.fixture(scope="module")
def asked(tmp_path_factory):
    """The words of every field and choice, by the number of the notebook."""
    place, found = tmp_path_factory.mktemp("pastes"), {}
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("RHEOKIT_STATE", str(place / "state"))
        for notebook, pages in PAGES.items():
            for page, name in pages:
                folder = place / f"{notebook}-{name}"
                shutil.copytree(demo(name), folder)
                for one in inside(page.of(rk.Workbook.shelved(folder))):
                    said = (
                        [one.words]
                        if isinstance(one, NumberField)
                        else names_of(one)
                        if hasattr(one, "options")
                        else []
                    )
                    found.setdefault(notebook, set()).update(said)
    return found


@pytest.mark.parametrize(("table", "key"), NUMBERS)
def test_a_number_of_a_plan_is_typed_on_its_page(table, key, asked):
    assert ASKED[table][key].label in asked[page_of(table, key)]


@pytest.mark.parametrize(("table", "key"), CHOSEN)
def test_what_is_chosen_in_a_plan_is_chosen_on_its_page(table, key, asked):
    words = WHENCE_OF[table] if key == "origin" else ASKED[table][key].words
    assert words in asked[page_of(table, key)]


@pytest.mark.parametrize(
    ("page", "name"), [(rk.widgets.RegionExplorer, "olive-stone-paste"), (rk.widgets.FibreExplorer, "gelatin-dope-40")]
)
def test_a_property_that_is_typed_moves_the_page(page, name, tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    shutil.copytree(demo(name), tmp_path / "mine")
    book = rk.Workbook.shelved(tmp_path / "mine")
    shown = page.of(book, **({"fine": (4, 20), "quick": (4, 10)} if page is rk.widgets.RegionExplorer else {}))
    (fields,) = (one for one in inside(shown) if isinstance(one, PasteFields))
    assert "Empty: " in fields.fields["density"].note.value and fields.fields["density"].holds == ""
    fields.fields["density"].text.value = "1234"
    fields.whence["density"].value = "measured"
    assert shown.material.paste.density == 1234.0 and shown.material.origin("density") == "measured"
    assert rk.Workbook.shelved(tmp_path / "mine").plan.properties["density"][:3] == (1234.0, None, "measured")
