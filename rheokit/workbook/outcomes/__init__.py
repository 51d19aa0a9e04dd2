"""The record of a paste: what was predicted, written before it is tried, and what came out, added later.

`quantities` says what is recorded in what unit, `outcome` is one row, `sheet` reads and changes the file, `predicted` asks the
workbook, `scored` holds both sides together, and `record` is what a workbook hands out.
"""

from .outcome import Outcome
from .record import NAME, Outcomes
from .scored import Score

__all__ = ["NAME", "Outcome", "Outcomes", "Score"]
