"""What shall I measure first? Ticks for what is at hand, how the paste feels, the tests to make, and a folder for their readings.

A page gives `FirstPanel(beside, made)`: the folder in which new ones are made, and what is called with each that was.
"""

from pathlib import Path

import ipywidgets as W

from ...bench.tools import EVERYWHERE, TOOLS
from ...errors import DataError
from ...planning import FEELS, LIQUIDS, first_tests
from ...reading import new_bench
from ...reading.faults import shown
from ...workbook import Plan, new_workbook
from . import first_words as words
from .elements import Message, column, paragraph, side_by_side, text_field, tick_box
from .fields import choice
from .hearing import hear, hear_press
from .page_words import in_words

NOT_IN_A_NAME = '/\\:*?"<>|'
USUAL = ("scale", "ruler", "cup", "syringe")
"""Tools that are ticked to begin with."""


class FirstPanel(W.VBox):
    """Tick tools and choose a feel; see the tests, and make the folder to fill in.

    Attributes
    ----------
    tools : dict of str to Checkbox
    feel, target, make : Dropdown, Text, Button
    tests : HTML
        The tests in order.
    made : Message
        Which folder was made, or why none was.

    Parameters
    ----------
    beside : path
        The folder in which one of a name alone is made.
    opened : callable, optional
        Called with a folder that was made.
    """

    def __init__(self, beside=".", opened=None):
        self._beside, self._opened = Path(beside), opened
        self.tools = {tool: tick_box(about, tool in USUAL) for tool, about in TOOLS.items() if tool not in EVERYWHERE}
        feels = [(words.feels(feel, *ends), feel) for feel, ends in FEELS.items()]
        feels += [(words.feels(feel, *ends, "Pa·s"), feel) for feel, ends in LIQUIDS.items()]
        self.feel = choice(words.FEEL, feels, self._list, "spoons")
        self.target, self.made, self.tests = (
            text_field(words.NEW_FOLDER, words.NAME_SUCH_AS if opened else words.SUCH_AS),
            Message(),
            W.HTML(),
        )
        self.make, self.make_empty = (
            W.Button(description=said, layout=W.Layout(width="auto", max_width="100%"))
            for said in (words.MAKE_FOLDER, words.MAKE_EMPTY)
        )
        for box in self.tools.values():
            hear(box, self._list)
        hear_press(self.make, self._make)
        hear_press(self.make_empty, self._make_empty)
        held = column(
            W.HTML(paragraph(words.AT_HAND)), *self.tools.values(), W.HTML(paragraph(words.ANYWAY)), share="1 1 340px"
        )
        makes = [self.make, self.make_empty] if opened else [self.make]
        asked = column(self.feel, self.target, *makes, self.made, share="1 1 340px")
        super().__init__([side_by_side(held, asked), self.tests], layout=W.Layout(width="100%"))
        self._list()

    @property
    def found(self):
        """The tests to make first, a table."""
        return first_tests([tool for tool, box in self.tools.items() if box.value], self.feel.value)

    def _list(self):
        found = self.found
        self.tests.value = words.first_tests(found)
        self.make.disabled = found.empty
        self.made.say("")

    def _make_empty(self):
        """Make a folder that holds nothing yet: the readings are typed into the page, or read from the file of an instrument."""
        try:
            folder = self._named()
            folder.mkdir(parents=True)
            Plan.read(folder).save()
        except FileExistsError:
            self.made.complain(words.exists(shown(folder, 400)))
        except (DataError, OSError) as error:
            self.made.complain(in_words(error))
        else:
            self._open(folder)

    def _open(self, folder):
        """Show the folder that was made; the panel is ready for another."""
        self.target.value = ""
        self.made.say("")
        self._opened(folder)

    def _named(self):
        name = self.target.value.strip()
        if not name:
            raise DataError(words.no_new_folder(words.NAME_SUCH_AS if self._opened else words.SUCH_AS))
        if self._opened and (set(name) & set(NOT_IN_A_NAME) or name.startswith(".") or name.endswith(".")):
            raise DataError(words.no_name(name))
        return self._beside / name

    def _make(self):
        try:
            folder, found = self._named(), self.found
            place = (new_workbook if self._opened else new_bench)(folder, found).resolve()
        except (DataError, OSError) as error:
            self.made.complain(in_words(error))
            return
        self.made.say(words.folder_made(shown(place, 400), len(found)))
        if self._opened:
            self._open(place)
