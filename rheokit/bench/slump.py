"""Slump of a cylinder or a frustum of paste that stands free: how far its top falls.

Layers below the depth where the weight above reaches c τ_y spread until it no longer does, c = √3 for uniaxial
compression by von Mises (Pashias et al. and Schowalter and Christensen print c = 2, Tresca: the same slump at a yield
stress 13 % lower). A zero slump is a bound on the static yield stress, not a number.
"""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..errors import DataError
from ..hints import Numbers
from ..laws import FlowLaw
from ..laws.criterion import UNIAXIAL
from ..nomenclature import Quantity, written
from ..units import STANDARD_GRAVITY
from .base import BenchTest, Passage, Values, column, dimension
from .usual_corrections import NOT_APPLIED, UNKNOWN, UNTESTED, Usual

MOULD = Quantity("D", "m", "inside diameter of the mould")
VISIBLE = 2e-3  # least slump that can be told from none by eye and ruler [m]; common practice, no source


@dataclass(frozen=True, kw_only=True, eq=False)
class Slump(BenchTest):
    """What every slump is: a fall of the top that is a number from 10 to 80 % of the height, and a bound outside of it.

    Parameters
    ----------
    height : float
        Of the mould. [m]
    density : float
        Of the paste with its air. [kg/m3]
    slump : array-like, shape (N,)
        Fall of the top. Below a tenth of the height it counts as a bound "at most", on the static yield stress. [m]
    """

    reads = "slump"
    simple_shear = False
    measures = (35.0, 350.0)
    default_model_error = 0.25
    usual_minutes, usual_scatter = 8.0, 0.05
    usual_resolution = 1e-3  # m, by a ruler at a rough top; common practice, no source
    artefacts = (
        "lifting the mould fast overshoots: lift at 5 to 10 mm/s",
        "a dry or smooth board lets the foot slide or drinks water: rough damp board, same every time",
        "stiff pastes do not slump at all: use a loaded plate or a fall cone",
    )

    height: float = dimension()
    density: float = dimension()
    slump: np.ndarray = column()

    def __post_init__(self):
        super().__post_init__()
        tall = np.flatnonzero((self.slump > self.height) & (self.censored == 0))
        if len(tall):
            raise DataError(
                f"{self.name}: slump = {written(self.slump[tall[0]], 'm', 4)} in {self.rows_where(tall)} is larger than the height, "
                f"{written(self.height, 'm', 4)}; is that the unit, or are the two swapped?"
            )

    @property
    def passage(self) -> Passage:  # noqa: D102
        return Passage("height after the slump", float(np.min(self.height - self.slump)))

    @property
    def window(self) -> tuple[float, float]:  # noqa: D102
        return 0.1 * self.height, 0.8 * self.height

    def smallest(self, low: float) -> np.ndarray:  # noqa: D102
        return np.maximum(self.slump, VISIBLE)

    @property
    def static_rows(self) -> np.ndarray:  # noqa: D102
        return self.bounds[0] < 0

    def corrections(self) -> tuple[Usual, ...]:
        """Return what is usual of a slump."""
        return (
            Usual(
                "friction at the mould while it is lifted, speed of lifting",
                NOT_APPLIED,
                UNKNOWN,
                "needs lifts at several speeds",
            ),
            Usual("foot that slides or sticks", UNTESTED, UNKNOWN, "needs boards of several roughness", "walls"),
        )

    @property
    def _numbers(self):
        """The slumps that are numbers and no bounds [m]."""
        return self.slump[self.bounds[0] == 0]


@dataclass(frozen=True, kw_only=True, eq=False)
class CylinderSlump(Slump):
    """Slump of a cylinder.

    Parameters
    ----------
    height, diameter : float
        Of the mould; equal ones are best. [m]
    density, slump
        As in every `Slump`.
    """

    kind = "cylinder slump"
    cheap = "a slump test (cylinder 100 mm high, as wide as high)"
    formula = "s/H = 1 - c t (1 - ln(c t)), t = τ_y/(ρ g H), c = √3"
    source = "Pashias, Boger, Summers and Glenister, Journal of Rheology 40 (1996) 1179; c = √3 as Roussel and Coussot (2005)"
    example = Example(
        given={"yield_stress": 150.0, "height": 0.11, "diameter": 0.1, "density": 1140.0},
        expected={"slump": 0.0506441209},
        source=(
            "by hand: c t = sqrt3*150/(1140*9.81*0.11) = 0.2112019; 0.11*(1 - 0.2112019*(1 - ln 0.2112019)), and as an integral over layers"
        ),
        idle=("diameter",),
    )

    tools = ("mould", "ruler", "board")
    usual: ClassVar[dict] = {"height": 0.1, "diameter": 0.1, "density": 1150.0}
    protocol = (
        "Stand a cylinder {height} high and {diameter} wide, open at both ends, on a level, rough, damp board, and wet its inside. Fill "
        "it without voids, strike it off, and lift it straight up, slowly. When the paste has come to rest, measure how far the middle "
        "of its top lies below the height of the mould; make three fillings."
    )

    diameter: float = dimension(quantity=MOULD)

    @property
    def _weight(self):
        return self.density * STANDARD_GRAVITY * self.height

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:  # noqa: D102
        t = np.clip(UNIAXIAL * np.asarray(law.yield_stress, float) / self._weight, 1e-12, 1.0)
        return self.height * (1 - t * (1 - np.log(t)))

    def yield_stresses(self) -> np.ndarray:
        """Return the exact inverse of the slump formula [Pa], by Lambert's W; empty where every reading is a bound."""
        from scipy.special import lambertw

        share = self._numbers / self.height
        return self._weight / UNIAXIAL * np.exp(1 + lambertw(-(1 - share) / np.e, -1).real)


@dataclass(frozen=True, kw_only=True, eq=False)
class FrustumSlump(Slump):
    """Slump of a frustum of a cone, narrow end up.

    Parameters
    ----------
    height, top_diameter, bottom_diameter : float
        Of the mould. [m]
    density, slump
        As in every `Slump`.
    """

    kind = "frustum slump"
    formula = "s = H - z - (c τ_y/ρ g) ln(Ω(H)/Ω(z)), Ω(z) = A(z) c τ_y/ρ g, c = √3"
    source = "Schowalter and Christensen, Journal of Rheology 42 (1998) 865 (from memory), as a layer integral"
    example = Example(
        given={
            "yield_stress": 110.0,
            "height": 0.11,
            "top_diameter": 0.043,
            "bottom_diameter": 0.092,
            "density": 1210.0,
        },
        expected={"slump": 0.0507048061},
        source=(
            "layer by layer in 18 digits: c = sqrt3*110/(1210*9.81), unyielded to V(z) = c A(z), below it dz becomes A c/V dz"
        ),
    )

    tools = ("ruler", ("cup", "mould"), "board")
    usual: ClassVar[dict] = {"height": 0.1, "top_diameter": 0.06, "bottom_diameter": 0.09, "density": 1150.0}
    protocol = (
        "Cut the bottom out of a stiff plastic cup, such as one {height} high, {top_diameter} wide at the cut and {bottom_diameter} at the rim, "
        "and stand it rim down on a level, rough, damp board. Fill it through the cut without voids, strike it off, and lift it straight "
        "up, slowly. When the paste has come to rest, measure how far the middle of its top lies below the height of the cup; make three fillings."
    )

    top_diameter: float = dimension()
    bottom_diameter: float = dimension()

    def __post_init__(self):
        super().__post_init__()
        if self.top_diameter > self.bottom_diameter:
            raise DataError(
                f"{self.name}: top_diameter = {written(self.top_diameter, 'm', 4)} is larger than bottom_diameter, "
                f"{written(self.bottom_diameter, 'm', 4)}; are they swapped, or is the unit of one wrong?"
            )

    def _slump(self, yield_stress):
        """Return the slump [m]: above depth z nothing yields, below it each layer thins by A(z) c τ_y / weight above."""
        r, k = self.top_diameter / 2, (self.bottom_diameter - self.top_diameter) / (2 * self.height)
        carried = UNIAXIAL * np.maximum(yield_stress, 1e-9) / (self.density * STANDARD_GRAVITY)  # [m] of paste

        def volume(z):
            return np.pi * (r**2 * z + r * k * z**2 + k**2 * z**3 / 3)

        z = np.minimum(carried, self.height)
        for _ in range(40):  # Newton from below on Ω(z)/A(z) = carried, which is concave for a body wider below
            area = np.pi * (r + k * z) ** 2
            head = volume(z) / area
            z = np.minimum(z - (head - carried) / (1 - 2 * k * head / (r + k * z)), self.height)
        return self.height - z - carried * np.log(volume(self.height) / volume(z))

    def expected(self, law: FlowLaw, nuisance: Values) -> Numbers:  # noqa: D102
        return self._slump(np.asarray(law.yield_stress, float))

    def yield_stresses(self) -> np.ndarray:
        """Return the yield stress [Pa] of each reading by root search; empty where every reading is a bound."""
        from ..roots import increasing_root

        slump = self._numbers
        return np.exp(increasing_root(lambda y: slump - self._slump(np.exp(y)), np.full(slump.shape, 5.0)))
