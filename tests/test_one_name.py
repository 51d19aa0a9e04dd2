"""One name a thing: fields of pages, axes of maps and tables of what an answer rests on call it alike, with the symbol of the nomenclature.

Kind: exact.
"""

import pytest

import rheokit as rk
from rheokit.nomenclature import QUANTITIES
from rheokit.regions import AXES
from rheokit.widgets.page.machine_rows import machine_rows
from rheokit.workbook import ASKED

ENTRY_OF = {"taper": "taper_half_angle"}  # axes that are called otherwise in a plan
SHORT = {"drum_diameter", "length", "width", "height", "wall"}  # words that need no symbol


def entries(key):
    return [entries[key] for table, entries in ASKED.items() if key in entries]


def name_of(entry):
    """Return the words without which paste it is of: that of the recipe, or that which was tested."""
    return entry.words.partition(", of ")[0]


@pytest.mark.parametrize("name", [name for name in AXES if entries(ENTRY_OF.get(name, name))])
def test_an_axis_and_its_field_have_one_label(name):
    asked, axis = entries(ENTRY_OF.get(name, name)), AXES[name]
    assert {(name_of(one), one.unit) for one in asked} == {(axis.label, axis.unit)}


def test_an_entry_of_several_tables_has_one_name():
    for table, asked in ASKED.items():
        for key, entry in asked.items():
            if key not in {"kind", "origin", *SHORT}:
                assert {name_of(one) for one in entries(key)} == {name_of(entry)}, (table, key)


def test_a_symbol_in_the_words_of_a_field_is_that_of_the_nomenclature():
    named = 0
    for asked in ASKED.values():
        for key, entry in asked.items():
            symbol = entry.words.removesuffix(" (dry basis)").rpartition(" ")[2]
            if key in QUANTITIES and ("_" in symbol or len(symbol) == 1):
                assert symbol == QUANTITIES[key].symbol, (key, entry.words)
                named += 1
    assert named > 15


def test_what_an_answer_rests_on_is_called_as_its_field(olive):
    words = {entry.words for asked in ASKED.values() for entry in asked.values()}
    said = {row[0] for row in olive}
    assert said - words == {"taper from D_in 10 to 1.6 mm", "greatest force of the drive"} and len(said) > 15


@pytest.fixture
def olive():
    book = rk.Workbook.open("data/olive-stone-paste")
    case = rk.Case.of(book.material, book.extruder, book.job)
    return machine_rows(book.material, book.extruder, case, "measured")
