"""Explorers for the notebooks: ipywidgets around the charts, one folder an explorer.

Dropping a folder with an ``explorer.py`` into this one is all it takes: the `Page` in it is found, here by the name of its
class, and by the contract tests.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING

from ..found import found_in
from .page.frame import Page


def _name(thing):
    return isinstance(thing, type) and issubclass(thing, Page) and thing.__name__


EXPLORERS = found_in(__name__, "explorer", _name, "*/explorer.py")
"""Every explorer by the name of its class."""

globals().update(EXPLORERS)

if TYPE_CHECKING:

    def __getattr__(name: str) -> Callable[..., Page]:
        """Say to a type checker, which does not see what is found in the folder, that any other name is an explorer."""


__all__ = list(EXPLORERS)
