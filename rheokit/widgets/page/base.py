"""What every explorer shares: fields that are heard and judged, steps that are worked through, answers that are old until then."""

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

import ipywidgets as W

from ...origins import in_short
from .elements import SOON, Later, Message, PageProbe
from .frame import Page
from .freshness import Answer, Unheard, dated_in, expire, no_newer
from .hearing import hear
from .number_field import fields_of
from .page_words import in_words
from .placed import PlacedMessage, begin, says_itself
from .rests_on import rests_on
from .strip import ROOM, Part
from .typed_numbers import Refused

TWO_PICTURES = 880  # px; two columns of 450 px stand beside each other from 900 on, and a picture must not be wider than its column


def half_of(width: int) -> int:
    """Return the width [px] of each of two pictures in a place of a width, beside each other where there is room."""
    return width // 2 - 20 if width > TWO_PICTURES else width


class Answering:
    """What a page, or a panel of one, needs to answer its fields.

    A subclass says what is asked (`asked`), what is on it (`sections`), what the fields describe (`described`) and what is
    worked through after every change (`steps`).

    Attributes
    ----------
    fields : dict of str to NumberField
    message : PlacedMessage
        What went wrong, or is doubtful; why fields cannot be together is said at one of them.
    status : Message
        What is being computed.
    rests : Answer
        What the answers rest on, folded.
    """

    asked: Mapping[str, tuple] = MappingProxyType({})
    """Number fields by key: words with unit, example, least, most, and what else may stand there (see `fields_of`)."""
    hint = ""
    """Said below a field while it is empty, where the number need not be known."""
    fields: Mapping[str, Any] = MappingProxyType({})
    pause = SOON
    """Time between the first step and the others, in which another change is waited for. [s]"""
    page, width = "light", 600

    def __init__(self) -> None:
        self.message, self.status, self.rests = PlacedMessage(self), Message(), Answer()
        if self.asked:
            self.fields = fields_of(self.asked, self.changed, self.hint)
        self._later = Later(self.fault, self)

    def sections(self) -> list[W.Widget]:
        """Return what is on it, top to bottom; answers and pictures are made here."""
        raise NotImplementedError

    def described(self) -> Any:
        """Return what the fields describe, in SI, or raise `DataError` with the reason why they cannot be together."""

    @property
    def steps(self) -> Sequence[Callable[[], object]]:
        """Functions without arguments, worked through after a change: first what should be seen first."""
        raise NotImplementedError

    @property
    def whole(self) -> Any:
        """Where the fields stand that its answers rest on."""
        return self

    @property
    def before(self) -> str:
        """What is said of the answers that still stand after an error."""
        return ""

    @property
    def paper(self) -> dict[str, str | int]:
        """Colour and width [px] of a picture, as keywords."""
        return {"page": self.page, "width": self.width}

    @property
    def half(self) -> int:
        """Width [px] of each of two pictures, beside each other where there is room."""
        return half_of(self.width)

    def redraw(self) -> None:
        """Draw the pictures that stand from before an error for the page as it is now."""

    def changed(self) -> None:
        """Hear a change of a field."""
        self.refresh()

    def refresh(self) -> None:
        """Compute again."""
        self._later.start(self.steps, self.pause)

    def wait(self) -> None:
        """Compute nothing until it is refreshed; what stands here is old."""
        self._later.stop()
        self.status.say("")
        expire(self)

    def complain(self, words: str) -> None:
        """Say what went wrong."""
        self.message.complain("\n".join(filter(None, [words, self.before])))
        self.status.say("")

    def fault(self, error: Exception) -> None:
        """Say what went wrong, at the field that it names; what a field refuses that is in view it says itself."""
        if isinstance(error, Refused) and says_itself(self, error):
            self.message.complain("")
        else:
            self.message.blame(said := in_words(error), self.before)
            short = in_short(said.partition("\n")[0])
            for part in dated_in(self):
                if isinstance(part, Part) and len(short) <= ROOM:
                    part.refuse(short)
        self.status.say("")

    def rows(self) -> list[tuple]:
        """Return the rows of what the answers rest on, words, value, limits, origin; none where its panels say it."""
        return []

    def show_rests(self) -> None:
        """Say what the answers rest on."""
        self.rests.value = rests_on(self.rows())


class Panel(Answering, W.VBox):
    """A part of a page that answers by itself; who shows it sets `page` and `width`."""

    def __init__(self) -> None:
        Answering.__init__(self)
        W.VBox.__init__(self, self.sections(), layout=W.Layout(width="100%"))


class Explorer(Answering, Page):
    """A page that answers what is typed, chosen and moved in it.

    Attributes
    ----------
    probe : PageProbe
        Tells colour and width of its place: it stands where the pictures do.
    """

    styles = ""

    def __init__(self) -> None:
        Answering.__init__(self)
        self.probe = PageProbe()
        hear(self.probe, self.new_page, "page", "width")
        Page.__init__(self, [*self.sections(), Unheard()], style=self.styles)
        begin(self)
        self.refresh()

    @property
    def page(self) -> str:  # type: ignore[override]  # a panel is told
        """Colour of the page."""
        return self.probe.page

    @property
    def width(self) -> int:  # type: ignore[override]
        """Width [px] of the place of the probe."""
        return self.probe.width

    def new_page(self) -> None:
        """Answer again on a page of another colour or width; what stands from before an error is drawn for it too."""
        self._is_other_page = True
        self.refresh()

    _is_other_page = False

    def fault(self, error: Exception) -> None:
        """Say what went wrong; the old pictures stand on the page as it is now."""
        super().fault(error)
        if self._is_other_page:
            self._is_other_page = False
            with no_newer(self):
                self.redraw()
