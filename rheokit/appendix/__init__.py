"""The appendix of a report: one document of a workbook, as a page, a PDF that is its own archive, and files of its tables and figures.

`write` makes them in the folder of a paste, `verify` computes them anew and names what changed.
"""

from .verifying import Verified, verify
from .writing import Written, write

__all__ = ["Verified", "Written", "verify", "write"]
