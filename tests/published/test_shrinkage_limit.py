"""Water content below which a soil no longer shrinks.

Source     Das, Principles of Geotechnical Engineering, Example 4.1 p. 83: 44.0 and 30.1 g, 24.6 and 15.9 cm3 -> 17.3 %.
Kind       published
Trust      S: as transcribed in a worked-example companion, page not seen.
Agreement  half a unit of the last printed place.
"""

import pytest

from rheokit.part.shrinkage import shrinkage_limit
from rheokit.units import cm, g


def test_example():
    limit = shrinkage_limit(44.0 * g, 30.1 * g, 24.6 * cm**3, 15.9 * cm**3)
    assert 100 * limit == pytest.approx(17.3, abs=0.05)
