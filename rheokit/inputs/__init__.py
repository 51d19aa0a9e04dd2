"""What a public entry makes of the numbers it is given: refused, converted to SI, or doubted, by name, value and unit.

Every number has a name of the nomenclature, and with it its unit, where it is possible and where it is likely.
`guarded` wraps a function, `settled` stands around the conditions of a record. What is called from inside a guarded function
has had its numbers judged, and is let through; so is work under `trusted`: fits and maps, whose numbers are their own.
`positive`, `not_negative`, `share` and `require` are a formula's own conditions, and always hold.
"""

from ..errors import warn_outside
from .demands import not_negative, one_number, positive, require, share
from .guards import doubt_open, guarded, judged_number, judging, settled, trusted
from .judged import doubtful, in_si, warn_of

__all__ = [
    "doubt_open", "doubtful", "guarded", "in_si", "judged_number", "judging", "not_negative", "one_number", "positive", "require", "settled",
    "share", "trusted", "warn_of", "warn_outside",
]  # fmt: skip
