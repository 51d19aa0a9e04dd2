"""Altair sooner there: without a grammar that no chart needs, and with its JavaScript put together once for each version of it.

Loaded before all else that loads altair.
"""

import hashlib
import sys
from contextlib import suppress
from functools import cache
from importlib.metadata import version

from ..workbook.disk import write_file
from ..workbook.places import state

GRAMMAR = "rfc3987_syntax"  # of international web addresses: to load it takes longer than altair itself
if not {GRAMMAR, "jsonschema"} & sys.modules.keys():
    sys.modules[GRAMMAR] = None  # passed over, as where it is not installed
    try:
        import altair as alt
    finally:
        del sys.modules[GRAMMAR]
else:
    import altair as alt


@cache
def without_network() -> None:
    """Let pictures be drawn without a network; what that takes of JavaScript is kept for the next kernel."""
    name = f"altair-{alt.__version__}-{version('vl-convert-python')}.js"
    place, shown = state() / "javascript" / name, alt.JupyterChart
    with suppress(OSError, ValueError):
        said, _, script = place.read_bytes().partition(b"\n")
        if said == _sum_of(script):
            shown._esm, shown._is_offline = script.decode(), True
            return
    shown.enable_offline()
    script = str(shown._esm).encode()
    with suppress(OSError):  # a disk that takes nothing costs the next kernel a second
        place.parent.mkdir(parents=True, exist_ok=True)
        write_file(place, _sum_of(script) + b"\n" + script)


def _sum_of(script):
    return hashlib.sha256(script).hexdigest().encode()
