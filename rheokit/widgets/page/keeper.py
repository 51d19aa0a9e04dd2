"""What stays of a page: pictures that somebody kept, in the notebook and in the folder, and its last result when it is gone.

Every `Page` has a `Keeper`. A page of a folder says where its pictures are kept: ``page.keeper.into(folder, plan)``; without it
they are kept in the notebook alone. A `Picture` has the button, and finds its page by itself.
"""

from collections.abc import Callable, Generator, Iterator
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as W

from ... import charts
from ...errors import DataError
from ...origins import INVENTED, word_of
from ...reading.keeping import Kept, keep, kept_in
from ...release import version_line
from .accessible import name
from .elements import Message, is_shown
from .freshness import OLD, Answer, Dated
from .hearing import hear_press
from .kept_html import date, figure, kept_html, last_html
from .output import Output, Reloaded
from .rest import rest

if TYPE_CHECKING:
    from .frame import Page
    from .pictures import Picture

STRIP = "rheokit-strip"


class Keeper(W.VBox):
    """What was kept of a page, as a list from which each can be taken out of the notebook again."""

    def __init__(self, page: "Page") -> None:
        self.page = page
        self.plan: Callable[[], str] = str  # which returns nothing
        self.results: list[Kept] = []
        self.folder: Path | None = None
        self._stands: Callable[[], object] = lambda: None
        self._holds: list = []
        self._reloaded, self.message = Reloaded(), Message()
        self._kept, self._last = Output(self._reloaded), Output(self._reloaded)
        self._rows = W.VBox([])
        self._page_name = type(page).__name__
        super().__init__([self._reloaded, self._rows, self.message], layout=W.Layout(width="100%"))

    def into(
        self, folder: Path | None, plan: Callable[[], str] = str, stands: Callable[[], object] = lambda: None
    ) -> None:
        """Keep from now on in ``kept/`` of a folder, with the text that `plan` returns; show what was kept there before.

        `stands` raises where nothing may be written there any more.
        """
        self.folder, self.plan, self._stands = folder, plan, stands
        self.results, complaints = kept_in(folder) if folder else ([], [])
        self.results = [one for one in self.results if one.page == self._page_name]
        self.message.complain("\n".join(complaints))
        self._list()

    # --- pictures that are kept ---------------------------------------------------------------------------------

    def keep(self, picture: "Picture") -> str:
        """Keep a picture as it is now, and return in words where it is.

        Raises
        ------
        DataError
            If there is none, it is old, or it cannot be written; it is in the notebook then all the same where it can.
        """
        spec = picture.spec
        if spec is None:
            raise DataError(f"{picture.title}: there is no picture to keep yet.")
        if OLD in picture._dom_classes:
            raise DataError(f"{picture.title}: the picture is old; wait until it is computed anew, then keep it.")
        numbers, rows = charts.picture_numbers(spec), self._inputs(picture)
        words = spec.get("description", "")
        invented = any(word_of(row[-1]) == INVENTED for row in rows) or "INVENTED" in f"{spec.get('title')} {words}"
        one = Kept(
            page=self._page_name, title=picture.title, when=datetime.now().replace(microsecond=0), svg=charts.static_of(spec),
            words=words, heads=numbers.heads, rows=numbers.rows, inputs=rows, plan=self.plan(), invented=invented,
            by=version_line(),
        )  # fmt: skip
        told, refused = ["Kept in this notebook: save it."] if self._kept.is_shown else [], None
        if self.folder is not None:
            try:
                self._stands()
                one = keep(one, self.folder)
                told.append(f"Picture, numbers and inputs are written into {one.folder}.")
            except DataError as error:
                refused = error
        self.results.append(one)
        self._list()
        if refused:
            raise DataError(" ".join([*told, f"Into the folder it could not be written: {refused}."]))
        return " ".join(told) or "Kept on this page alone: it belongs to no folder."

    def _inputs(self, picture):
        """Return the rows of what a picture was made with: those of its panel, and of the page around it."""
        found = {}
        for one in path_to(self.page, picture):
            for row in one.rows() if hasattr(one, "show_rests") else ():
                found.setdefault(str(row[0]), [str(cell) for cell in row])
        return list(found.values())

    def take_out(self, one: Kept) -> None:
        """Take one that was kept out of the notebook; its files stay."""
        self.results.remove(one)
        self._list()

    def _list(self):
        self._rows.children = [self._row(one) for one in self.results]
        self._kept.put(kept_html(self.results, self._kept.place))

    def _row(self, one):
        words = f"{one.title}, kept {date(one.when)}"
        button = name(
            W.Button(description="Take out of the notebook", layout=W.Layout(width="auto")),
            f"Take out of the notebook: {words}",
        )
        hear_press(button, lambda: self.take_out(one))
        return W.HBox([W.Label(words), button], layout=W.Layout(flex_flow="row wrap"))

    # --- what is in the notebook --------------------------------------------------------------------------------

    def show(self) -> None:
        """Make the outputs, below a page that was displayed just now."""
        self._kept.show(kept_html(self.results, self._kept.place))
        self._last.show(f'<span class="rheokit-empty" id="{self._last.place}"></span>')
        rest.wait(self)

    def store(self) -> Generator[Callable[[], str], str, None]:
        """Put the last result of the page into the notebook, a picture a step; nothing where it is old, or there already."""
        shown = list(on_view(self.page))
        found = [one for one, _ in shown]
        holds = [one.value if isinstance(one, Answer) else one.spec for one in found]
        stored = len(holds) == len(self._holds) and all(a is b for a, b in zip(holds, self._holds, strict=True))
        if stored or any(OLD in one._dom_classes for one in found):
            return
        figures = []
        for spec, one in zip(holds, found, strict=True):
            if not isinstance(one, Answer) and spec:
                svg = yield partial(charts.static_of, spec)
                figures.append(figure(svg, one.title, spec.get("description", "")))
        answers = [one for one in found if isinstance(one, Answer) and not one.value.startswith("<details")]
        in_short = [one for one, path in shown if any(STRIP in around._dom_classes for around in path)]
        told = [one.value for one in in_short or answers]
        self._last.put(last_html(datetime.now(), told, figures, self._last.place))
        self._holds = holds


def on_view(place: W.Widget, path: tuple = ()) -> Iterator[tuple[Any, tuple]]:
    """Return the results in a widget that are not folded away or empty, each with what is around it."""
    if not is_shown(place):
        return
    if isinstance(place, Dated):
        if getattr(place, "shows", False):
            yield place, path
        return
    for child in getattr(place, "children", ()):
        yield from on_view(child, (*path, place))


def path_to(place: W.Widget, wanted: W.Widget) -> tuple:
    """Return a widget and what is in it down to the `wanted` one, which is left out; nothing where it is not there."""
    for child in getattr(place, "children", ()):
        if child is wanted:
            return (place,)
        if found := path_to(child, wanted):
            return (place, *found)
    return ()
