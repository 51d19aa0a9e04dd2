"""Explorers for the notebooks: ipywidgets around the charts, one folder an explorer.

Dropping a folder with an ``explorer.py`` into this one is all it takes: the `Page` in it is found, here by the name of its
class, and by the contract tests.
"""

import importlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from .page.frame import Page


def _discover():
    found = {}
    for path in Path(__file__).parent.glob("*/explorer.py"):
        name = f"{__name__}.{path.parent.name}.explorer"
        for thing in vars(importlib.import_module(name)).values():
            if isinstance(thing, type) and issubclass(thing, Page) and thing.__module__ == name:
                found[thing.__name__] = thing
    return dict(sorted(found.items()))


EXPLORERS = _discover()
"""Every explorer by the name of its class."""

globals().update(EXPLORERS)

if TYPE_CHECKING:

    def __getattr__(name: str) -> Callable[..., Page]:
        """Say to a type checker, which does not see what is found in the folder, that any other name is an explorer."""


__all__ = list(EXPLORERS)
