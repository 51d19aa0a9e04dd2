"""The fields and cells that a refusal of typed readings names: they are marked, for eyes and for a screen reader."""

import re

from ...reading.columns import words_of

WRONG = "wrong"
_FIELD = re.compile(r"^Fields: (?:([^=:]*) = |[^:]* needs ([^:]*))")
_CELL = re.compile(r"^Table, (?:row (\d+)|headings)(?:, column (\d+))?(?:[^:]*: '([^']*)')?")


class RefusedFields:
    """The marks of what was refused last."""

    def __init__(self):
        self._marked = []

    def mark(self, said, stated, table):
        """Mark what a refusal names among the fields `stated`, by key, and in a table (its headings and rows), and nothing else."""
        for control in self._marked:
            control.remove_class(WRONG)
        self._marked = [one for line in said.splitlines() for one in _named(line, stated, table)]
        for control in self._marked:
            control.add_class(WRONG)


def _named(line, stated, table):
    if found := _FIELD.match(line):
        name = found[1] or found[2]
        named = {key: words_of(key) for key in stated if re.search(rf"^{words_of(key)}\b|\b{words_of(key)}$", name)}
        return [stated[max(named, key=lambda key: len(named[key]))]] if named else []
    if found := _CELL.match(line):
        row, column, text = found.groups()
        cells = [*table][int(row or 1) - 1]
        if column:
            return [cells[int(column) - 1]]
        return [cell for cell in cells if text and cell.value.strip() == text] or cells
    return []
