"""Patience with a file that another program has open for a moment: Windows neither opens nor replaces it then."""

import time
from collections.abc import Callable
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

LONGEST = 2.0  # s; a scanner of viruses, a folder that is synchronised, another notebook that reads
OPEN_ELSEWHERE = {32, 33}
"""Windows' numbers of what it refuses while another program has the file open."""
PERHAPS = {5} | OPEN_ELSEWHERE
"""Those that it also gives for it: 5 where the file is about to be taken away, and where writing is not permitted."""


def is_open_elsewhere(error: OSError, perhaps: bool = False) -> bool:
    """Return whether a refusal of Windows says that another program has the file open, or that this may be so."""
    return getattr(error, "winerror", None) in (PERHAPS if perhaps else OPEN_ELSEWHERE)


def patiently(act: Callable[P, T], *given: P.args, **more: P.kwargs) -> T:
    """Return what an act on a file returns; try it again while another program may have the file open, and then raise what it raises."""
    until = time.monotonic() + LONGEST
    while True:
        try:
            return act(*given, **more)
        except PermissionError as error:
            if not is_open_elsewhere(error, perhaps=True) or time.monotonic() > until:
                raise
        time.sleep(0.02)
