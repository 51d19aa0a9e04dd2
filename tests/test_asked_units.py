"""Every unit that a page shows, or that people write for it, is read alike by page and plan."""

import pytest

from rheokit.nomenclature import SI_UNIT, measure
from rheokit.widgets.page.typed_numbers import number_typed, with_its_unit
from rheokit.workbook.asked import ASKED, ROWS
from rheokit.workbook.entries import number_of

ENTRIES = [entry for table in (*ASKED.values(), *ROWS.values()) for entry in table.values() if entry.is_number]
ALSO = {  # spellings of the same unit
    "J/(kg·K)": ("J/(kg K)", "J/(kg*K)", "J/kg/K", "J kg-1 K-1", "J·kg⁻¹·K⁻¹", "J*kg^-1*K^-1"),
    "g/(m²·h)": ("g/(m2 h)", "g/(m^2*h)", "g/m²/h", "g m-2 h-1", "g·m⁻²·h⁻¹"),
    "1/s": ("s-1", "s⁻¹", "s^-1"),
    "mm/s": ("mm s-1", "mm·s⁻¹"),
    "mm³/s": ("mm3/s", "mm^3/s", "mm³·s⁻¹"),
    "mm³/kPa": ("mm3/kPa", "mm³·kPa⁻¹"),
    "N·m": ("N m", "Nm", "N*m"),
    "Pa·s": ("Pa s", "Pas", "Pa*s"),
    "Pa/s": ("Pa s-1", "Pa·s⁻¹"),
    "kg/m³": ("kg/m3", "kg m-3", "kg·m⁻³"),
    "10⁻¹⁰ m²/s": ("×10⁻¹⁰ m²/s", "·10^-10 m2/s", "e-10 m²·s⁻¹"),
    "µm": ("um", "μm"),
    "°": ("deg",),
    "°C": ("degC",),
}


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.words)
def test_a_number_is_read_with_its_unit_as_shown_and_as_people_write_it(entry):
    example = f"{entry.example:g}"
    wanted = number_of(entry, entry.typed(example)).in_si
    for unit in (entry.unit, *ALSO.get(entry.unit, ())):
        text = f"{example}{'' if unit.startswith('e') else ' '}{unit}"
        typed = number_typed(text, entry.words, entry.unit, example)
        assert entry.in_si(typed) == pytest.approx(wanted, rel=1e-12), text
        for kept in (text, with_its_unit(text, entry.unit)):
            assert number_of(entry, kept).in_si == pytest.approx(wanted, rel=1e-12), kept


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.words)
def test_a_unit_that_a_refusal_names_is_taken(entry):
    named = measure(SI_UNIT.get(entry.unit, entry.unit)).typed
    for unit in [named] if isinstance(named, str) else named:
        number_typed(f"1 {unit}", entry.words, entry.unit)
