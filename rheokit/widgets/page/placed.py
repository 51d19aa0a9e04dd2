"""Why numbers cannot be together that each can be, said below the one that was changed last: in view, and nothing else moves."""

import re
from collections.abc import Iterable, Iterator
from typing import Any

from ...nomenclature import capital
from .elements import Message, is_shown
from .number_field import NumberField

_ENTRY = r"\[[a-z_.]+\](?: [a-z_]+ = '[^'\n]*')?"
_PLACE = re.compile(rf"^plan\.toml, {_ENTRY}(?:, {_ENTRY})*: | \(notebook [0-9], or [^()]* in plan\.toml\)")
"""Where a number is to be typed, which goes without saying below its field."""
_NAMED = re.compile(r"(?: over the | \[|,).*| \w{1,2}(?:_\w+)?(?: \[.*)?$")
"""What of the words of a field is no name of it: unit, symbol, what goes on."""


class PlacedMessage(Message):
    """A message that can be said at a field instead.

    Parameters
    ----------
    place : Answering
        In whose `whole` the fields are looked for, as far as they are shown.

    Attributes
    ----------
    field : NumberField or None
        Which says it now.
    """

    def __init__(self, place: Any) -> None:
        self._place, self._words = place, ""
        self.field: NumberField | None = None
        super().__init__()

    def blame(self, words: str, beside: str = "") -> None:
        """Say what is wrong below a field: of those it names, else of those that were changed, the last; else here, and something beside it."""
        if words and words == self._words:
            return  # it stands where it was said first
        shown = list(shown_fields(self._place.whole)) if words else []
        named = named_in(shown, words) or [one for one in shown if one.turn]
        field = max(named, key=lambda one: one.turn, default=None)
        self.complain("" if field else "\n".join(filter(None, [words, beside])))
        self._words, self.field = words, field
        if field is None:
            return
        said = _PLACE.sub("", words)
        field.blame(capital(said))

    def complain(self, words: str) -> None:
        """Show a complaint here, and none at a field any more."""
        self._unsay()
        super().complain(words)

    def say(self, words: str) -> None:
        """Say what is done, and nothing at a field any more."""
        self._unsay()
        super().say(words)

    def _unsay(self):
        self._words = ""
        if self.field is not None:
            self.field.blame("")
            self.field = None


def shown_fields(place: Any) -> Iterator[NumberField]:
    """Return the fields in a widget that are shown, at any depth."""
    if not is_shown(place):
        return
    if isinstance(place, NumberField):
        yield place
    for child in getattr(place, "children", ()):
        yield from shown_fields(child)


def begin(place: Any) -> None:
    """Take no field that is shown for one that was changed: what it holds it began with."""
    for field in shown_fields(place):
        field.turn = 0


def named_in(fields: Iterable[NumberField], words: str) -> list[NumberField]:
    """Return the fields that words name as they are named on the page, with or without symbol and unit; of two that one name holds, the longer."""
    names = {one: _NAMED.sub("", one.words).lower() for one in fields}
    longest = sorted(set(names.values()), key=len, reverse=True)
    told = re.findall("|".join(rf"\b{re.escape(name)}(?!\w)" for name in longest), words.lower()) if longest else []
    return [one for one, name in names.items() if name in told]


def says_itself(place: Any, wrong: Exception) -> bool:
    """Return whether a field or a table in a widget that is shown says what it refuses."""
    if not is_shown(place):
        return False
    own = getattr(place, "note", None) is not None and str(wrong).startswith(
        getattr(place, "title", None) or place.words
    )
    return own or any(says_itself(child, wrong) for child in getattr(place, "children", ()))
