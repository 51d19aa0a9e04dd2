"""Tables of results as `frames.Frame`, for rooms that load pandas only when the first one is asked for."""

from typing import Any

from .hints import Table


def framed(rows: Any, **named: Any) -> Table:
    """Return rows, or columns by name, as a table that shows text as it was typed; `named` as of `pandas.DataFrame`."""
    from .frames import Frame

    return Frame(rows, **named)
