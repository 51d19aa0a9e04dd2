"""What stands in the files of a folder, found by its name: laws, bench tests, limits, charts, explorers."""

import importlib
import sys
from collections.abc import Callable, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")


class Named(dict[str, T]):
    """Things by name, which says what it holds, and which names are near one that it does not have."""

    def __init__(self, what: str, things: Mapping[str, T]) -> None:
        """Name what each of some things is, in a word or two."""
        super().__init__(things)
        self.what = what

    def __missing__(self, name):
        near = get_close_matches(str(name), self, 3, cutoff=0.5)
        raise KeyError(f"{name!r} is no {self.what}; {'near it' if near else 'there are'}: {', '.join(near or self)}")

    def __repr__(self):
        return f"<{self.what}: {', '.join(self)}>"

    def __reduce__(self):
        return type(self), (self.what, dict(self))


def found_in(package: str, what: str, name_of: Callable[[Any], str | None], files: str = "*.py") -> Named[Any]:
    """Return what the files of a package define, by the name that `name_of` gives it; nothing has none.

    Parameters
    ----------
    package : str
        Its ``__name__``.
    what : str
        What each is called.
    name_of : callable
        Asked of everything that such a file defines itself.
    files : str
        Pattern of the files below the folder.
    """
    folder = Path(sys.modules[package].__file__).parent
    found: dict[str, Any] = {}
    for path in sorted(folder.glob(files)):
        if path.stem != "__init__":
            module = ".".join([package, *path.relative_to(folder).with_suffix("").parts])
            own = (one for one in vars(importlib.import_module(module)).values() if _home(one) == module)
            found |= {name: one for one in own if (name := name_of(one))}
    return Named(what, found)


def _home(thing):
    return getattr(thing, "__module__", None)
