"""On top of every page of a workbook: the choice of a paste, a new one, projector mode, and what another window changed.

A page has it from `workbook_page.WorkbookPage`; nothing else needs to know it.
"""

from collections.abc import Callable
from pathlib import Path

import ipywidgets as W

from ...workbook import Overtaken, shelf
from ...workbook.places import home
from . import picker_words as words
from .elements import WIDE, Message, paragraph, show
from .hearing import hear
from .layout import Fold
from .looked_at import LOOKED_AT, LookedAt
from .page_words import in_words

LAST, PROJECTOR = "last", "projector"


class Picker(W.VBox):
    """The choice of a paste among demos and a person's own, and what belongs to the choice.

    Parameters
    ----------
    opened : callable
        Called with the folder that is chosen.
    mode : callable
        Called without arguments after another mode or picture of the projector is chosen.

    Attributes
    ----------
    choice : Dropdown
        Its value is the folder as a text, "" while none is open.
    message : Message
        What could not be opened, saved, or was changed by another window.
    faults : Message
        What in the plan cannot be, as it was opened.
    projector : ToggleButton
    picture : Dropdown
        Which picture the projector shows, by its place among those of the page.
    theirs, mine, as_came : Button
    """

    def __init__(self, opened: Callable[[Path], object], mode: Callable[[], object]) -> None:
        self._opened, self._naming = opened, False
        self._folder: Path | None = None
        self.looked_at = LookedAt()
        self.choice = W.Dropdown(description=words.PASTE, style=WIDE, layout=W.Layout(width="auto", min_width="300px"))
        self.as_came = _button(words.AS_IT_CAME)
        self.projector = W.ToggleButton(
            description=words.PROJECTOR,
            tooltip="",
            value=shelf.remembered(PROJECTOR) is True,
            layout=W.Layout(width="auto"),
        )
        self.picture = W.Dropdown(description=words.PICTURE, style=WIDE)
        self.picture.layout = W.Layout(width="auto", flex="1 1 300px", max_width="560px")  # in a line with the others
        self.theirs, self.mine = _button(words.THEIRS), _button(words.MINE)
        self.message, self.faults, self._about = Message(), Message(), W.HTML()
        self._decide = W.HBox([self.theirs, self.mine])
        self.new = Fold(words.NEW, self._first_panel, "plus", apart=True)
        for one in (self.new.opener, self._about, self.as_came):
            one.add_class("not-projected")
        row = W.Box(
            [self.choice, self.new.opener, self.projector, self.picture, self._about, self.as_came, self.looked_at],
            layout=W.Layout(display="flex", flex_flow="row wrap", align_items="center", width="100%"),
        ).add_class(LOOKED_AT)
        super().__init__([row, self.faults, self.message, self._decide, self.new], layout=W.Layout(width="100%"))
        show(self._decide, False)
        self.name(None)
        hear(self.choice, self._chosen)
        hear(self.looked_at, lambda: self._list(self._folder), "looks")
        for control in (self.projector, self.picture):
            hear(control, mode)

    def _first_panel(self):
        """Return the panel of a new paste; the rooms that it asks are loaded now."""
        from .first_panel import FirstPanel

        return FirstPanel(home(), self._made)

    def _made(self, folder):
        """Open a paste that was made just now; what is to be done with it stands where the panel was."""
        self.new.opener.value = False
        if self._opened(folder):
            self.message.say(words.made(folder.name))

    def _chosen(self):
        if not self._naming and self.choice.value:
            self._opened(Path(self.choice.value))

    def name(self, folder: Path | None) -> None:
        """Name the paste that is open, among all that there are now."""
        self._folder = folder
        self._list(folder)
        demo = bool(folder) and shelf.is_demo(folder)
        self._about.value = paragraph(words.OWN_COPY) if demo else ""
        show(self.as_came, demo)

    def _list(self, folder):
        """Offer the pastes that there are now; the list stays as it is where they are the same."""
        demos = {f"{name} ({words.DEMO})": str(path) for name, path in shelf.demos().items()}
        known = {name: str(path) for name, path in shelf.mine().items()} | demos
        value = str(folder) if folder else ""
        if folder:
            value = next((one for one in known.values() if Path(one).resolve() == folder.resolve()), value)
        if value not in known.values():
            known = {(folder.name if folder else words.NONE_OPEN): value} | known
        if list(known.items()) == list(self.choice.options) and self.choice.value == value:
            return
        self._naming = True
        self.choice.options = list(known.items())
        self.choice.value = value
        self._naming = False

    def pictures(self, titles: list[str]) -> None:
        """Offer pictures to the projector, by title."""
        chosen = self.picture.value or 0
        self.picture.options = [(title, place) for place, title in enumerate(titles)]
        if titles:
            self.picture.value = chosen if chosen < len(titles) else 0
        show(self.picture, self.projector.value and bool(titles))

    def tell_faults(self, said: list[str]) -> None:
        """Say what in the plan that was opened cannot be."""
        self.faults.complain(words.faults(said) if said else "")

    def complain(self, said: str) -> None:
        """Say what went wrong with a folder."""
        show(self._decide, False)
        self.message.complain(said)

    def saved(self, error: Exception | None) -> None:
        """Say why a change is not on the disk, or that all of them are."""
        overtaken = isinstance(error, Overtaken)
        show(self._decide, overtaken)
        show(self.mine, True)
        self.message.complain(
            "" if error is None else words.OVERTAKEN if overtaken else words.not_saved(in_words(error))
        )

    def older(self) -> None:
        """Say that somebody else changed the paste that is open, and nothing was changed here."""
        show(self._decide, True)
        show(self.mine, False)
        self.message.complain(words.OLDER)


def _button(said):
    button = W.Button(description=said, layout=W.Layout(width="auto", max_width="100%"))
    return button
