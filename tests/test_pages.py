"""A page keeps its keys to itself; what was typed is shown as text; what is refused in a notebook is said without a traceback."""

import html
import re
from pathlib import Path
from types import SimpleNamespace

import pandas as pd
import pytest

import rheokit as rk
from rheokit.paste.recipe import Ingredient, Recipe
from rheokit.widgets.page import frame
from rheokit.widgets.page.accessible import AccessibleNames
from rheokit.widgets.page.base import Answering
from rheokit.widgets.page.elements import table, tick_box
from rheokit.widgets.page.frame import KeyGuard, Page

ROOMS = Path(rk.__file__).parent
TYPED = [
    "cost $5 and $6$",
    r"\style{color:red}{x}",
    r"\(x\)",
    r"\begin{equation}x\end{equation}",
    "<b>a</b>",
    "&amp;",
    "**a**",
]


@pytest.mark.parametrize("name", rk.widgets.__all__)
def test_every_explorer_is_a_page(name):
    assert issubclass(getattr(rk.widgets, name), Page)


def test_a_page_guards_its_keys():
    shown = rk.widgets.Exercise("Which", "Which?", "this", choices=["this", "that"])
    assert "rheokit-page" in shown._dom_classes
    kinds = (KeyGuard, AccessibleNames)
    assert all(isinstance(child, kind) for child, kind in zip(shown.children[-2:], kinds, strict=True))
    assert '.closest(".rheokit-page")' in frame._SCRIPT


@pytest.mark.parametrize("typed", TYPED)
def test_a_tick_box_holds_no_formula(typed):
    box = tick_box(typed)
    if not box.description_allow_html:
        assert box.description == typed and not {"$", "\\"} & set(typed)
        return
    assert not {"$", "\\"} & set(box.description)
    alone = box.description.replace("<span>", "").replace("</span>", "")
    assert "<" not in alone
    assert html.unescape(alone) == typed


@pytest.mark.parametrize("typed", TYPED)
def test_a_table_of_the_library_is_not_typeset(typed):
    paste = Recipe(ingredients=(Ingredient(name=typed, dry_mass=0.1, density=1350.0),), water_content=1.0)
    sheet = paste.batch_sheet(0.5)
    for shown in (sheet, sheet[["weigh"]], sheet.reset_index(), pd.concat([sheet, sheet])):
        assert re.search(r'<table[^>]* class="[^"]*\bmathjax_ignore\b', shown._repr_html_())
        assert isinstance(shown, pd.DataFrame)
    assert "mathjax_ignore" not in pd.DataFrame({"a": [1]})._repr_html_()  # of others nothing is changed


def test_every_table_that_is_returned_shows_its_text_as_typed():
    """But for those of numbers alone, and those that charts and pages make for themselves."""
    numbers = {"flow/gauges.py", "machine/transients.py", "frames.py"}
    made = {
        str(path.relative_to(ROOMS))
        for path in ROOMS.rglob("*.py")
        if path.relative_to(ROOMS).parts[0] not in ("charts", "widgets")
        and "pd.DataFrame(" in path.read_text(encoding="utf-8")
    }
    assert made <= numbers


def raised(code, **names):
    with pytest.raises(rk.DataError) as error:
        exec(code, {"rk": rk, **names})
    return error.value


def test_what_is_refused_is_shown_without_a_traceback(tmp_path):
    error = raised("bench = rk.read_bench(folder)", folder=tmp_path / "not there")
    assert error._render_traceback_() == str(error).splitlines()
    assert "there is no such folder" in str(error)


def test_ipython_shows_the_message_and_the_line_that_asked(capsys, tmp_path):
    from IPython.core.interactiveshell import InteractiveShell

    shell = InteractiveShell()
    shell.user_ns["folder"] = tmp_path / "not there"
    result = shell.run_cell("import rheokit as rk\nbench = rk.read_bench(folder)\nbench.tests")
    said = capsys.readouterr().out
    assert isinstance(result.error_in_exec, rk.DataError)
    assert said == f"Refused: bench = rk.read_bench(folder)\n{result.error_in_exec}\n"


@pytest.mark.parametrize(("width", "half"), [(700, 700), (910, 435), (1100, 530)])
def test_a_picture_is_never_wider_than_its_column(width, half):
    """Two columns of 450 px stand beside each other on a page of 910 px, as 1280 px of screen leave it: each picture fits one."""
    assert Answering.half.fget(SimpleNamespace(width=width)) == half


def test_no_heading_of_a_table_is_empty():
    """A screen reader says the heading of a column before each of its cells."""
    shown = table(["", "value"], [["force", "8 N"]], "Forces")
    assert "<tr><td></td><th>value</th></tr><tr><td>force</td><td>8 N</td></tr>" in shown


def test_a_column_of_texts_is_held_wide_and_one_of_numbers_is_not():
    shown = table(
        ["place", "reading", "read"], [["1", "slower reading: syringe force at 1.31 mm³/s", "8 N"]], "Readings"
    )
    assert "<tr><th>place</th><th class='long'>reading</th><th>read</th></tr>" in shown
