"""What the open bench lends to a test that is typed into it."""

from ...reading.typing_out import with_unit
from .typed_words import LENT


def lent_by(bench):
    """Return what a bench lends to a test that is added to it, texts with uncertainty by dimension.

    Its density, stated or measured by its cups, and the friction that its empty barrel has, if there is one barrel. A density
    to the last digit: a flow by caught mass is then the same with the one lent and with the cups beside it, so that what is saved
    is mass and time as they were typed.
    """
    if bench is None:
        return {}
    specimen, barrels = bench.specimen, [test for test in bench.tests if test.of_apparatus]
    measured = bench.properties() | (barrels[0].properties() if len(barrels) == 1 else {})
    known = {
        name: (one.value if name == "density" else _short(one.value), one.spread)
        for name, one in measured.items()
        if name in LENT
    }
    if specimen.density is not None:
        known["density"] = specimen.density, specimen.spreads.get("density")
    return {
        name: with_unit(value, LENT[name], share and _short(share * value)) for name, (value, share) in known.items()
    }


def _short(value):
    """Return a number as one would type it."""
    return float(f"{value:.4g}")
