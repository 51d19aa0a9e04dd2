"""What the appendix says: every section of every demonstration folder, and its numbers against those of the library."""

from pathlib import Path

import pytest

import rheokit as rk
from rheokit.appendix.composing import appendix_of
from rheokit.appendix.document import Section, Table
from rheokit.appendix.sections import ORDER, modules

DATA = Path(__file__).parent.parent / "data"
FOLDERS = sorted(one.name for one in DATA.iterdir() if (one / "bench.toml").is_file())
DATE = "2026-03-02T00:00:00Z"
MADE = {}


def appendix(name):
    """Return the appendix of a folder of demonstration data, composed once."""
    if name not in MADE:
        MADE[name] = appendix_of(rk.Workbook.open(DATA / name), DATE)
    return MADE[name]


def test_every_file_of_a_section_stands_in_the_order():
    folder = Path(rk.__file__).parent / "appendix" / "sections"
    assert sorted(one.stem for one in folder.glob("*.py") if one.stem != "__init__") == sorted(ORDER)
    assert len({module.TITLE for module in modules()}) == len(ORDER)


@pytest.mark.slow
@pytest.mark.parametrize("name", FOLDERS)
def test_an_appendix_of_every_folder(name):
    document = appendix(name)
    assert all(isinstance(one, Section) for one in document.sections)
    names = [one.name for one in (*document.tables, *document.figures)]
    assert len(names) == len(set(names)), "a file is made of each name"
    for table in document.tables:
        assert isinstance(table, Table)
        assert table.caption.endswith(".")
        assert table.rows, table.name
