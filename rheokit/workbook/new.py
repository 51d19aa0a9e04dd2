"""A new folder of a paste: readings to fill in, and a plan that says nothing yet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import DataError
from ..reading.faults import shown
from ..reading.saving import save
from ..reading.template import new_folder_files
from .of_authors import OPEN
from .plan import HEAD, NAME
from .shelf import holds_a_paste

if TYPE_CHECKING:
    from ..hints import Table


def new_workbook(folder: str | Path, kinds: str | Sequence[str] | Table = ()) -> Path:
    """Make the folder of a paste: a plan that says nothing yet and, for kinds of test, a bench to fill in.

    Nothing in it is invented: what nobody types is not known.

    Parameters
    ----------
    folder : str or path
        New or empty.
    kinds : str, sequence of str, or DataFrame
        Kinds of test, as of `new_bench`; none where the readings are typed into a page.

    Returns
    -------
    folder : Path

    Raises
    ------
    DataError
        If a kind is not known, the folder holds something, or the disk refuses.
    """
    if holds_a_paste(Path(folder)):
        raise DataError(f"{shown(folder, 200)} holds a paste already; name an empty or a new folder")
    bench = new_folder_files(kinds) if len(kinds) else {}
    save({NAME: (HEAD + OPEN).encode(), **bench}, folder)
    return Path(folder)
