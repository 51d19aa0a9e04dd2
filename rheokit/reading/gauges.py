"""A needle named by its gauge, such as ``18G``: the nominal bore of a regular wall, as a dimension of bench.toml."""

import math
import re
from typing import NamedTuple

from ..errors import DataError
from ..flow.gauges import needles
from ..nomenclature import written
from .faults import shown

_GAUGE = re.compile(
    r"\s*(?:(?P<number>[0-9]{1,2})\s*-?\s*(?:gauge|ga\.?|g)|(?:gauge|g)\s*(?P<after>[0-9]{1,2}))\s*", re.IGNORECASE
)


class Needle(NamedTuple):
    """Bore and standard uncertainty of a needle by its gauge [m], and what a reader is told of them."""

    bore: float
    uncertainty: float
    words: str


def bore_of(given):
    """Return the `Needle` that a text names; None where it names none, `DataError` for a gauge that is not in the table.

    The tolerance is taken as the half width of a rectangular distribution, of which 1/√3 is the standard deviation (JCGM
    100:2008, 4.3.7).
    """
    found = _GAUGE.fullmatch(given)
    if not found:
        return None
    gauge, table = int(found["number"] or found["after"]), needles()
    if gauge not in table.index:
        ends = f"{table.index.min()}G to {table.index.max()}G"
        raise DataError(
            f"{shown(given)}: the table of needles has {ends}; write the bore that you measured, such as '0.60 mm'"
        )
    bore, tolerance = float(table.bore[gauge]), float(table.bore_tolerance[gauge])
    words = (
        f"the nominal bore of a regular wall, {written(bore, 'm', 4)} with a tolerance of {written(tolerance, 'm', 2)}, was taken; "
        "thin walls are wider: measure the needle in hand, as 1 % of a bore is 4 % of the flow and more"
    )
    return Needle(bore, tolerance / math.sqrt(3), words)
