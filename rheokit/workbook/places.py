"""Where things stand: the notebooks that came with rheokit, the folders of pastes, and what is remembered of a person."""

import os
import sys
from pathlib import Path

PACKAGE = Path(__file__).parents[1]


def travels() -> Path:
    """Return the folder that holds ``notebooks`` and ``data``: the top of a clone, or a part of the installed package."""
    inside = PACKAGE / "travels"
    return inside if inside.is_dir() else PACKAGE.parent


def is_clone() -> bool:
    """Whether the notebooks came with a clone, and not with an installed package."""
    return travels() == PACKAGE.parent


def own_notebooks(pastes: Path) -> Path:
    """Return the folder of the copies that are worked on, for the folder of the pastes.

    Beside them; in a clone a folder of its own, which git passes over: what came stays as it came, and a later version of it can be fetched.
    """
    return travels() / "my-notebooks" if is_clone() else pastes / "notebooks"


def home() -> Path:
    """Return the folder in which those of the pastes stand: RHEOKIT_PASTES, else ``data`` of a clone, else where we are."""
    told = os.environ.get("RHEOKIT_PASTES")
    if told:
        return Path(told)
    return travels() / "data" if is_clone() else Path.cwd()


def state() -> Path:
    """Return the folder for what is remembered: RHEOKIT_STATE, else where the system wants it."""
    if told := os.environ.get("RHEOKIT_STATE"):
        return Path(told)
    user = Path.home()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or user / "AppData" / "Local") / "rheokit"
    if sys.platform == "darwin":
        return user / "Library" / "Application Support" / "rheokit"
    return Path(os.environ.get("XDG_STATE_HOME") or user / ".local" / "state") / "rheokit"
