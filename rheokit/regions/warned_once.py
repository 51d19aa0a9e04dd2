"""One warning for a part of the nozzle that leaves the range of its formula, however often it is asked."""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from ..errors import ModelRangeWarning

INTRODUCTION = "somewhere on the map, "


@contextmanager
def warned_once() -> Iterator[list[str]]:
    """Gather the warnings of the work inside; yield a list that then holds one text a part, and warn of each once."""
    notes: list[str] = []
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", ModelRangeWarning)
        yield notes
    by_part: dict[str, str] = {}
    for one in caught:
        words = str(one.message).removeprefix(INTRODUCTION)
        if issubclass(one.category, ModelRangeWarning):
            by_part.setdefault(words.split(":")[0], words)
        else:
            warnings.warn_explicit(one.message, one.category, one.filename, one.lineno)
    notes += by_part.values()
    for words in notes:
        warnings.warn(INTRODUCTION + words, ModelRangeWarning, stacklevel=4)
