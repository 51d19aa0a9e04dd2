"""Every symbol that stands in an equation, a formula or a column of symbols of an appendix stands in its table of symbols, one meaning at a place."""

from importlib import import_module

import pytest
from test_appendix_sections import appendix, poor

import rheokit as rk
from rheokit.appendix.composing import appendix_of
from rheokit.appendix.document import Equation, Table
from rheokit.appendix.formula_symbols import COMMON, OWN, meaning, symbols_in
from rheokit.appendix.sections import symbols
from rheokit.appendix.stress_of_a_reading import FORMULA as STRESS
from rheokit.appendix.stress_of_a_reading import PLACE
from rheokit.appendix.study import Study
from rheokit.bench import KINDS
from rheokit.flow.converging import FORMULA
from rheokit.laws import LAWS
from rheokit.limits import LIMITS

METHODS = [
    import_module(f"rheokit.corrections.{name}").METHOD for name in ("two_lengths", "bagley", "mooney", "rabinowitsch")
]
EVERY = [
    *(("law", name, law.equation()) for name, law in LAWS.items()),
    *(("test", name, kind.formula) for name, kind in KINDS.items()),
    *(("limit", name, limit.formula) for name, limit in LIMITS.items()),
    *(("correction", one.name, one.formula) for one in METHODS),
    ("flow", "converging flow", FORMULA),
    (*PLACE, STRESS),
]


@pytest.mark.parametrize(
    ("formula", "found"),
    [
        ("τ = τ_y + K γ̇ⁿ above yield; at rest below", "τ τ_y K γ̇ n"),
        ("F/πR² = C(m_f) τ_y + (2/3) m_f τ_y R/h, h = Ω/πR²", "F R C m_f τ_y h Ω"),
        ("γ̇_w = γ̇_a (3n′ + 1)/4n′ with n′ = d ln τ_w / d ln γ̇_a, γ̇_a = 8U/D = 32Q/πD³", "γ̇_w γ̇_a n′ τ_w U D Q"),
        ("p A_0 + F_f ≤ F_hand, usually 38 N, never above 64 N", "p A_0 F_f F_hand"),
        ("Δp = 3^((n+1)/2) K (2U/R)^n, 10 K/(T_gel - T), sin α/ρ³", "Δp n K U R T_gel T α ρ"),
        ("t = ∫ A_0 dh/Q(ρ g h), growing e⁵ times", "t A_0 h Q ρ g"),
    ],
)
def test_symbols_are_found_and_words_units_and_functions_are_not(formula, found):
    assert symbols_in(formula) == tuple(found.split())


@pytest.mark.parametrize(("of", "name", "formula"), EVERY, ids=lambda one: str(one)[:30])
def test_every_symbol_of_every_formula_has_a_meaning_and_a_unit(of, name, formula):
    law = LAWS[name] if of == "law" else None
    for symbol in symbols_in(formula):
        told = meaning(symbol, of, name, law)
        assert told is not None, f"{symbol} of {name}: {formula}"
        assert all(told), f"{symbol} of {name}"


def test_no_meaning_is_kept_of_a_symbol_that_stands_nowhere():
    at = {(of, name): {*symbols_in(formula)} for of, name, formula in EVERY}
    for place, own in OWN.items():
        if place[1] not in ("factors", "surface tension (loaded plate)"):
            assert {*own} <= at[place] | {"τ_t", "D_t"}, place
    assert COMMON["g"] == ("standard gravity, taken as 9.81 m/s²", "m/s²")


def checked(document, where=""):
    """Assert that the table of symbols of a document holds what its blocks show."""
    tables = {one.name: one for one in document.blocks() if isinstance(one, Table)}
    rows = [tuple(map(str, row)) for row in tables["symbols"].rows]
    known = {row[0] for row in rows}
    shown = {}
    for block in document.blocks():
        if isinstance(block, Equation):
            shown |= dict.fromkeys(symbols_in(block.text), block.text)
        elif isinstance(block, Table) and block is not tables["symbols"]:
            for head in ("symbol", "formula"):
                if head in block.columns:
                    place = block.columns.index(head)
                    shown |= {symbol: block.name for row in block.rows for symbol in symbols_in(str(row[place]))}
    assert shown
    missing = {symbol: place for symbol, place in shown.items() if symbol not in known}
    assert not missing, (where, missing)
    assert all(words and unit for _, words, unit, _ in rows)
    for symbol in known:
        places = [place for one, _, _, place in rows if one == symbol]
        assert len(places) == len({*places}), (where, symbol, places)
        assert len(places) == 1 or "throughout" not in places, (where, symbol, places)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["olive-stone-paste", "porcelain-body", "agar-dope", "kitchen"])
def test_the_table_of_symbols_holds_every_symbol_of_the_document(name):
    checked(appendix(name), name)


@pytest.mark.slow
def test_a_folder_without_a_plan_has_no_symbols_of_a_job(tmp_path):
    book = rk.Workbook.open(poor(tmp_path / "poor"))
    checked(appendix_of(Study(book), "2026-01-02T03:04:05Z"))
    rows = symbols.section(Study(book)).blocks[0].rows
    assert not {"F_drive", "η", "p_r"} & {row[0] for row in rows}


def test_words_that_say_of_what_a_thing_is_part_meanings_and_words_that_add_do_not():
    found = symbols.Found()
    for words, where in (
        ("mass", "fall cone"),
        ("mass of the paste in the cup", "cup density"),
        ("mass, without the cup", "a file"),
    ):
        found.take("m", (words, "kg"), where)
    assert found.rows() == (
        ("m", "mass of the paste in the cup", "kg", "cup density"),
        ("m", "mass, without the cup", "kg", "fall cone and a file"),
    )
