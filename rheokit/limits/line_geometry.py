"""Is the line pressed onto the layer below, neither dragged thin nor squeezed out?"""

from ..checking import Example
from ..hints import Numbers
from .base import Limit
from .case import Case
from .plain import plain

SOURCE = "common practice, no source"


class LayerHeight(Limit):
    """Gap under the nozzle over its bore."""

    name = "layer height"
    label = "layer height over bore"
    model_error = 0.1
    error_name = "line geometry"
    formula = "0.45 ≤ h/D ≤ 0.8"
    source = SOURCE
    example = (
        Example(
            given=plain("layer_height bore"),
            expected={
                "value": 0.647058824,
                "low": 0.45,
                "high": 0.8,
                "margin": 0.212174520,
                "margin with error": 0.112174520,
            },
            source="by hand: 1.1/1.7; ln(0.8/0.647058824); 0.1 for the rule",
        ),
    )
    remedy = "set the layer height to 0.45 to 0.8 of the bore, and level the bed"

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.gap / case.bore

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return 0.45

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return 0.8


class LineWidth(Limit):
    """Width of the line that the flow fills over the bore."""

    name = "line width"
    label = "line width over bore"
    model_error = 0.1
    error_name = "line geometry"
    formula = "1.0 ≤ w/D ≤ 1.5, w = A/h + h (1 - π/4)"
    source = SOURCE
    example = (
        Example(
            given=plain("line_width bore"),
            expected={
                "value": 1.35294118,
                "low": 1.0,
                "high": 1.5,
                "margin": 0.103184236,
                "margin with error": 0.00318423624,
            },
            source="by hand: 2.3/1.7; ln(1.5/1.35294118); 0.1 for the rule",
        ),
    )
    remedies = (
        "more flow: a line narrower than the bore tears",
        "less flow: a line wider than 1.5 bores coils and smears",
    )
    remedy = "; ".join(remedies)

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.laid_width / case.bore

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return 1.0

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return 1.5
