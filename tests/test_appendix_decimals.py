"""With a decimal comma every number that rheokit writes has it, in sentences, captions, formulae and cells; what is quoted keeps its point."""

import ast
import re
from pathlib import Path

import pytest
from test_appendix_sections import DATA, DATE

import rheokit
import rheokit as rk
from rheokit.appendix.composing import COMMA, appendix_of
from rheokit.appendix.document import Caution, Equation, Figure, Paragraph, Points, Table
from rheokit.appendix.study import Study
from rheokit.nomenclature import marked, with_comma

QUOTED = ("apparatus", "settings", "sources", "recipe", "environment")
"""Tables that hold what was typed, worked examples of sources, and versions; readings as typed beside them."""
WORDS_OF_A_FILE = re.compile("Row [0-9]+: ")
POINT = re.compile(r"(?<!:2008, )(?<![\w.])[0-9]+\.[0-9]+(?![\w]*\.[0-9])")


def said(block):
    """Return the texts of a block that rheokit writes itself."""
    if isinstance(block, Paragraph | Caution):
        yield block.text
    elif isinstance(block, Points):
        yield from (text for text in block.texts if not WORDS_OF_A_FILE.match(text))
    elif isinstance(block, Equation):
        yield f"{block.text} {block.spoken}"
    elif isinstance(block, Figure):
        yield f"{block.caption} {block.words}"
    elif isinstance(block, Table) and block.name not in QUOTED and not block.name.startswith("readings-"):
        yield f"{block.caption} {block.note}"
        yield from (str(cell) for row in (block.columns, *block.rows) for cell in row)


def test_a_fixed_sentence_takes_the_mark_and_a_version_does_not():
    words = "stands 1.6 times as high; 0.65 (1 + 0.55 α)^(n^0.35); version 0.1.0, a 4.3 and v1.2"
    assert marked(words) == words
    with with_comma():
        assert marked(words) == "stands 1,6 times as high; 0,65 (1 + 0,55 α)^(n^0,35); version 0.1.0, a 4,3 and v1.2"


@pytest.mark.slow
@pytest.mark.parametrize("name", ["kitchen", "olive-stone-paste"])
def test_no_number_of_an_appendix_keeps_its_point(name):
    with with_comma():
        document = appendix_of(Study(rk.Workbook.open(DATA / name)), DATE)
    texts = [text for block in document.blocks() for text in said(block)]
    assert any(re.search("[0-9],[0-9]", text) for text in texts)
    assert [text for text in texts if POINT.search(text)] == []
    assert COMMA in document.subtitle
    assert "fixed sentences" not in COMMA


WRITERS = {"number", "numbers", "written", "with_unit", "with_limits", "with_uncertainty", "with_decimals", "between"}


def _as_imported(node):
    """Yield the calls that run as a module is imported: not those in functions."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        if isinstance(child, ast.Call) and getattr(child.func, "id", "") in WRITERS:
            yield child.lineno
        yield from _as_imported(child)


def test_no_module_writes_a_number_as_it_is_imported():
    """What is written then keeps the decimal point of that moment, whatever is chosen later."""
    early = [
        f"{path.name}:{line}"
        for path in Path(rheokit.__file__).parent.rglob("*.py")
        for line in _as_imported(ast.parse(path.read_text()))
    ]
    assert early == []
