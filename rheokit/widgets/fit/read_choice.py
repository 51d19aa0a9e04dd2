"""Which column of a run was read: it follows from how its columns are typed, until it is chosen."""

import ipywidgets as W

from ...reading.columns import words_of
from ..page.elements import FIELD, WIDE, paragraph
from ..page.hearing import hear
from . import words

SET = {"load_mass", "added_mass", "pressure"}
"""What drives a flow and is set, where it stands for a force; common practice, no source."""


def column_read(ways, readable, usual):
    """Return the column that was read, as the typed columns tell, and which of them do; the usual one, and none, where none does.

    Weights are put on a plunger, so the flow was read; a caught mass is weighed after the paste has flowed; a plunger is driven
    at a speed, and a load beside one is what a scale showed. `ways` has the names of the typed columns by what they give.
    """
    driving = next(column for column in readable if column != "flow_rate")
    forced, flowed = set(ways.get(driving, ())), set(ways.get("flow_rate", ()))
    if {"plunger_speed"} <= flowed and forced == {"load_mass"}:
        return driving, {"plunger_speed", "load_mass"}
    if told := forced & SET - {driving}:
        return "flow_rate", told
    if "caught_mass" in flowed:
        return "flow_rate", {"caught_mass"}
    if "plunger_speed" in flowed:
        return driving, {"plunger_speed"}
    return usual, set()


class ReadChoice(W.Dropdown):
    """The choice of the column that was read, with `said`: what it means, to stand beside it.

    Parameters
    ----------
    readable : sequence of str
        The names of the columns to choose from.
    usual : str
        The one that is read where nothing tells.
    changed : callable
        Called when it stands at another column.
    """

    def __init__(self, readable, usual, changed):
        self._readable, self._usual, self._changed = readable, usual, changed
        self._ways, self._told, self.said = {}, set(), W.HTML()
        self._follows, self._moving = True, False
        options = [(words_of(column), column) for column in readable]
        super().__init__(options=options, value=usual, description=words.READ, style=WIDE, layout=W.Layout(**FIELD))
        hear(self, self._heard)

    def follow(self, ways):
        """Take what the typed columns tell, by what they give, unless it was chosen."""
        self._ways = ways
        if self._follows:
            found, self._told = column_read(ways, self._readable, self._usual)
            self._moving, self.value, self._moving = True, found, False
        self._say()

    def _heard(self):
        if not self._moving:
            self._follows, self._told = False, set()
        self._say()
        self._changed()

    def _say(self):
        """Say what it means: what was set counts as exact."""
        read, (other,) = self.value, (column for column in self._readable if column != self.value)
        typed = self._ways.get(read, (read,))
        of = words_of(read) if typed == (read,) else f"{words_of(read)} ({' and '.join(map(words_of, typed))})"
        why = (
            f"Taken so because {_listed(self._told)} {'were' if len(self._told) > 1 else 'was'} typed; choose the other if it was not so. "
            if self._told
            else ""
        )
        self.said.value = paragraph(
            f"{why}The {words_of(other)} was set and counts as exact; an uncertainty is that of the {of}."
        )


def _listed(names):
    return " and ".join(f"the {words_of(name)}" for name in sorted(names))
