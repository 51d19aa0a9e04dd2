"""The page of a recipe and the plan of a workbook: what the plan holds is put into the page, what is typed there into the plan."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from ...errors import DataError
from ...workbook import Workbook
from ...workbook.asked import ASKED, ROWS
from ...workbook.draft import Draft
from ...workbook.entries import number_of
from ...workbook.plan import Plan
from ...workbook.shelf import came_from
from ..page.bound import NO, YES, bound, saving_of
from ..page.paste_fields import bind_whence
from ..page.typed_numbers import as_in_field, with_its_unit

INGREDIENT, READING = "ingredient", "reading"


class Came(NamedTuple):
    """The numbers that a page came with, which are nobody's own: those of a demo as it came, or none."""

    ingredients: tuple = ()  # rows of name, mass, moisture, density, whether it dissolves; as the cells show them
    readings: tuple = ()  # rows of water content and yield stress
    numbers: Mapping = MappingProxyType({})  # by table and key, in the units of the entries


def as_it_came(workbook):
    """Return the numbers that the workbook of a demo, or of a copy of one, came with; none for a paste of one's own."""
    if (came := came_from(workbook.folder)) is None:
        return Came()
    plan = Plan.read(came)
    numbers = {table: _numbers(plan, table) for table in ("recipe", "print", "nozzle", "properties", "shape", "drying")}
    return Came(_cells_of(plan, INGREDIENT), _cells_of(plan, READING), numbers)


def draft_of(folder):
    """Return the workbook of a folder with its plan as it stands there: what is typed over it is kept nowhere."""
    return Workbook(folder, Draft(f"{Plan.read(folder)}"))


def bind(panels, plan):
    """Put what a plan says into the panels of a page, and write each change back."""
    recipe = panels[0]
    for panel in panels:
        for key, control in (panel.entries | panel.chosen).items():
            bound(control, plan, panel.table_of(key), key)
        for key, control in panel.whence.items():
            bind_whence(control, plan, key)
        panel.hear_all()
    for grid, key in ((recipe.ingredients, INGREDIENT), (recipe.readings, READING)):
        _bind_rows(grid, plan, key)


def _numbers(plan, table):
    found = {key: plan.number(table, key) for key, entry in ASKED[table].items() if entry.is_number}
    return {key: number for key, number in found.items() if number is not None}


def _bind_rows(grid, plan, key):
    columns, saving = ROWS["recipe", key], saving_of(plan)
    grid.fill(_cells_of(plan, key))

    def write():
        rows, had = [], plan.rows("recipe", key)
        for place, cells in enumerate(grid.cells):
            texts, before = [_text(cell) for cell in cells], had[place] if place < len(had) else {}
            refused = [
                bool(text and grid.fault(cell.value, place + 1, column))
                for column, (text, cell) in enumerate(zip(texts, cells, strict=True))
            ]
            row = {
                name: before.get(name, "") if wrong else _with_unit(one, text)
                for (name, one), text, wrong in zip(columns.items(), texts, refused, strict=True)
            }
            rows.append(row if any(text for text in texts if text != NO) else {})
        while rows and not rows[-1]:
            rows.pop()
        saving.put_rows("recipe", key, rows)

    grid.heard(write)


def _with_unit(entry, text):
    return with_its_unit(text, entry.unit) if text and entry.is_number else text


def _text(cell):
    """Return what a cell holds as it was typed; of what cannot be there the table says why, and the plan keeps what it had."""
    if isinstance(cell.value, bool):
        return YES if cell.value else NO
    return cell.value.strip()


def _cells_of(plan, key):
    """Return the rows of a table as its cells show them: a number in the unit of its column without it."""
    columns = ROWS["recipe", key]
    return tuple(
        tuple(_shown(one, row.get(name, "")) for name, one in columns.items()) for row in plan.rows("recipe", key)
    )


def _shown(entry, text):
    if entry.choices == (YES, NO):
        return text == YES
    bare = text.partition(" ")[0]
    try:
        alike = entry.is_number and number_of(entry, text) == number_of(entry, entry.typed(bare))
    except DataError:  # which its cell says
        return as_in_field(text, entry.unit)
    return bare if alike else text
