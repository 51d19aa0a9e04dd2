"""The bench of the page into a folder, to be opened again."""

from collections.abc import Callable

import ipywidgets as W

from ...errors import DataError
from ..page.elements import Message, paragraph, text_field
from ..page.hearing import hear_press
from ..page.page_words import in_words
from . import words


class SavePanel(W.VBox):
    """A folder to save a bench into.

    Parameters
    ----------
    save : callable
        Takes the folder that is typed and returns in words what was saved.

    Attributes
    ----------
    target : Text
    save : Button
    said : Message
        What became of it.
    """

    def __init__(self, save: Callable[[str], str]) -> None:
        self._keep = save
        self.target, self.said = text_field(words.TARGET, example="new or empty"), Message()
        self.save = W.Button(description=words.SAVE)
        hear_press(self.save, self._save)
        super().__init__([W.HTML(paragraph(words.SAVING)), self.target, self.save, self.said])

    def _save(self):
        try:
            self.said.say(self._keep(self.target.value.strip()))
        except (DataError, OSError) as error:
            self.said.complain(in_words(error))
