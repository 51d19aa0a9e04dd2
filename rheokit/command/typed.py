"""What is typed as an argument: names of several words, and folders."""

import os
import re
import shlex
import sys
from collections.abc import Iterable

from ..errors import DataError


class Hyphened:
    """Makes of ``loaded-plate`` the name "loaded plate", whatever its capitals, and leaves alone what is none of the names.

    Attributes
    ----------
    known : dict
        The names, by how they are typed.
    """

    def __init__(self, names: Iterable[str]) -> None:
        self.known = {name.replace(" ", "-").lower(): name for name in names}

    def __call__(self, typed: str) -> str:
        """Return the name that was typed."""
        return self.known.get(typed.replace(" ", "-").lower(), typed)


def quoted(folder: object) -> str:
    """Return the name of a folder as it is typed: in quotes where it holds a space, or what else a terminal takes for its own."""
    typed = str(folder)
    if re.fullmatch(r"[\w./\\:~+-]+", typed):
        return typed
    return shlex.quote(typed) if re.search(r'["$`!]|\\$', typed) else f'"{typed}"'


def without_quote(folder: str) -> str:
    """Return the name of a folder without the quote at its end, which Windows makes of a backslash before a closing one; no name there has any."""
    return folder.rstrip('"') if sys.platform == "win32" else folder


def checked_folder(folder: str, holds: str) -> str:
    """Return the name of a folder that `holds` something, such as bench.toml; refuse what can be none."""
    if "\0" in folder:
        raise DataError(f"{folder!r}: no folder has a name with a NUL character; name the folder that holds {holds}.")
    if not folder.strip():
        raise DataError(f"{folder!r} names no folder; name the one that holds {holds}, or write . for this one.")
    try:
        if not os.path.isabs(folder):
            os.getcwd()
    except OSError:
        raise DataError(
            f"{folder!r}: the folder that this command was started in is gone; go to another (cd), or give a whole path."
        ) from None
    return folder
