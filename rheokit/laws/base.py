"""What a flow law is, and everything that follows from its two curves by quadrature and root search.

A law is a frozen dataclass: its fields are its parameters, `shear_stress` its one formula. A law with closed forms
overrides what it can; one contract test holds closed form and base class to each other at 1e-10.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar, Self

import numpy as np
from numpy.typing import ArrayLike

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, settled, trusted
from . import quadrature
from .parameters import Parameter, parameter, parameters_of, quantities_of
from .without_conditions import WithoutConditions

if TYPE_CHECKING:
    import lmfit

__all__ = ["FlowLaw", "Parameter", "parameter"]

FORMULAE = {
    "shear_stress",
    "shear_rate",
    "local_index",
    "apparent_shear_rate",
    "wall_shear_stress",
    "flow_at_wall_rate",
    "cone_stress_integral",
    "stretching_stress",
}
"""Methods of a law that take numbers."""


@dataclass(frozen=True, eq=False)
class FlowLaw(WithoutConditions, ABC):
    """A material's shear stress as a function of shear rate.

    Fields may be arrays of joint draws, for example of shape (count, 1, 1): everything broadcasts.
    """

    name: ClassVar[str] = ""
    source: ClassVar[str] = ""
    stresses: ClassVar[tuple[str, ...]] = ("yield_stress",)
    """Parameters fitted as they are whose coordinate is a stress: its size is that of the readings."""
    if TYPE_CHECKING:

        @property
        def yield_stress(self) -> Numbers:
            """Stress [Pa] below which it does not flow; 0 of a law without."""

    else:
        yield_stress = 0.0

    def __init_subclass__(cls, **options):
        """Let every formula of a law look at its numbers first, as those of this class do."""
        super().__init_subclass__(**options)
        cls.__repr__ = brief
        for name in FORMULAE & set(vars(cls)):
            setattr(cls, name, guarded(vars(cls)[name], of_law=True))

    def __post_init__(self):
        """Check every parameter against its bounds."""
        with settled(self, quantities_of(type(self))):
            for name, about in parameters_of(type(self)).items():
                value = np.asarray(getattr(self, name), float)
                outside = (value < about.low) | (value > about.high) | (about.logarithmic & (value == 0))
                if np.any(outside):
                    start = "(" if about.logarithmic and about.low == 0 else "["
                    raise DataError(
                        f"{type(self).__name__}: {name} = {value[outside].flat[0]:.6g} {about.unit} lies outside "
                        f"{start}{about.low:g}, {about.high:g}] {about.unit}; check the value and its unit."
                    )

    @classmethod
    def equation(cls) -> str:
        """Return the equation with which its description begins, such as "τ = η γ̇"."""
        return " ".join((cls.__doc__ or "").split()).partition(". ")[0].removesuffix(".")

    @classmethod
    def parameters(cls) -> dict[str, Parameter]:
        """Return a dict of the parameters by name, each a `Parameter`."""
        return dict(parameters_of(cls))

    @property
    def values(self) -> dict[str, Numbers]:
        """The parameters' values by name."""
        return {name: getattr(self, name) for name in self.parameters()}

    @property
    def left_open(self) -> str:
        """What the readings that it was fitted to leave open and what they need, in words; "" where nothing, or none are known."""
        fit = vars(self).get("_fit")
        return fit.left_open if fit is not None else ""

    @property
    def alike(self) -> FlowLaw | None:
        """Laws that its readings cannot tell from it, fields of shape (k, 1, 1); None where they leave nothing open."""
        fit = vars(self).get("_fit")
        return fit.laws_alike if fit is not None else None

    def of(self, law: FlowLaw) -> FlowLaw:
        """Return another law as this one is shifted and at its condition: a plain law is neither."""
        return law

    def lifted(self) -> FlowLaw:
        """Return the same law with one trailing axis on every parameter, to broadcast against quadrature nodes."""
        with trusted():
            return replace(self, **{name: np.asarray(value, float)[..., None] for name, value in self.values.items()})

    # --- the law itself -----------------------------------------------------------------------------------------

    @abstractmethod
    def shear_stress(self, shear_rate: ArrayLike) -> Numbers:
        """Return the shear stress [Pa] at a shear rate [1/s], the yield stress at rest."""

    @guarded
    def shear_rate(self, shear_stress: ArrayLike) -> Numbers:
        """Return the shear rate [1/s] at a shear stress [Pa]: 0 at and below yield."""
        return quadrature.shear_rate(self, np.asarray(shear_stress, float))[()]

    @guarded
    def local_index(self, shear_rate: ArrayLike) -> Numbers:
        """Return d ln(τ - τ_y) / d ln γ̇ [-] at a shear rate [1/s]; 1 where the law's stress shows nothing above yield."""
        step = 1e-3
        rate = np.asarray(shear_rate, float)
        up, down = (np.asarray(self.shear_stress(rate * np.exp(k * step)) - self.yield_stress) for k in (1, -1))
        above = (up > 0) & (down > 0)
        ratio = np.divide(up, down, out=np.ones(np.shape(above)), where=above)
        index = np.clip(np.log(ratio) / (2 * step), 0.0, 10.0)  # near rest a quotient of rounding errors
        return np.where(above, index, 1.0)[()]

    @property
    def bend(self) -> Numbers | None:
        """Shear rate [1/s] at which the law bends too sharply for nodes spread evenly; None where it nowhere does."""
        return None

    # --- in a tube ----------------------------------------------------------------------------------------------

    @guarded
    def apparent_shear_rate(self, wall_shear_stress: ArrayLike) -> Numbers:
        """Return 32Q/πD³ [1/s] in a tube at a wall shear stress [Pa]: 0 at and below yield."""
        return quadrature.apparent_shear_rate(self, np.asarray(wall_shear_stress, float))[()]

    @guarded
    def wall_shear_stress(self, apparent_shear_rate: ArrayLike) -> Numbers:
        """Return the wall shear stress [Pa] in a tube at an apparent rate 32Q/πD³ [1/s]: τ_y where nothing flows."""
        return quadrature.wall_shear_stress(self, np.asarray(apparent_shear_rate, float))[()]

    @guarded
    def flow_at_wall_rate(self, wall_shear_rate: ArrayLike) -> tuple[Numbers, Numbers]:
        """Return (32Q/πD³ [1/s], wall shear stress [Pa]) in a tube at a shear rate at its wall [1/s]: no search in it."""
        return quadrature.flow_at_rate(self, np.asarray(wall_shear_rate, float))

    @property
    def searches_rate(self) -> bool:
        """True where the shear rate at a stress has no formula of its own, so that a rate is the quicker unknown."""
        return type(self).shear_rate is FlowLaw.shear_rate

    # --- in a taper ---------------------------------------------------------------------------------------------

    @guarded
    def cone_stress_integral(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:
        """Return ∫ τ_w d ln R [Pa] from outlet to inlet radius [m] at a flow rate [m3/s].

        Times 2 / tan(half angle) it is the shear-flow (lubrication) pressure drop of a cone.
        """
        return quadrature.cone_stress_integral(self, flow_rate, inlet_radius, outlet_radius)[()]

    @guarded
    def stretching_stress(self, flow_rate: Numbers, inlet_radius: Numbers, outlet_radius: Numbers) -> Numbers:
        """Return the viscous stretching term of converging flow [Pa] at a flow rate [m3/s] between two radii [m].

        2√3 ∫ [τ(√3·2U/R) - τ_y] d ln R, U the mean velocity at R; for a power law it is Cogswell's form
        (2/3n) 3^((n+1)/2) K (2U/R)^n (1 - (R_out/R_in)^3n).
        """
        return quadrature.stretching_stress(self, flow_rate, inlet_radius, outlet_radius)[()]

    # --- for the fit --------------------------------------------------------------------------------------------

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return a law to start a fit from: the best of a coarse set of values between the bounds.

        Override it where the curve itself suggests a start.
        """
        return quadrature.coarse_guess(cls, np.asarray(shear_rate, float), np.asarray(shear_stress, float))

    @property
    def plain(self) -> FlowLaw:
        """The law itself, of one that shifts another or stands for it."""
        return self

    @property
    def general(self) -> FlowLaw | None:
        """The same law as one of a wider class that it computes with; None where it has formulae of its own."""
        return None

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:
        """Return the parameter values, by name, at which this law is another one; None where it never is.

        Every law holds itself. Override it in a law that has others as special cases, for these.

        Examples
        --------
        >>> import rheokit as rk
        >>> rk.HerschelBulkley.holding(rk.Bingham(yield_stress=310.0, plastic_viscosity=6.2))
        {'yield_stress': 310.0, 'consistency': 6.2, 'flow_index': 1.0}
        >>> rk.HerschelBulkley.holding(rk.Casson(yield_stress=310.0, plastic_viscosity=6.2)) is None
        True
        """
        if type(smaller) is cls:
            return smaller.values
        return None if smaller.general is None else cls.holding(smaller.general)

    @classmethod
    def lmfit_model(cls, prefix: str = "") -> lmfit.Model:
        """Return the law as an `lmfit.Model`: the shear stress [Pa] of the independent variable `shear_rate` [1/s].

        Its parameters have the law's bounds, and symbol and unit in their `user_data`; ``model.guess(stress,
        shear_rate=rate)`` gives a start. For the readings of a bench, whose errors and apparatus are shared, use `rk.fit`.

        Parameters
        ----------
        prefix : str
            Of the names of the parameters, as in lmfit.

        Returns
        -------
        model : lmfit.Model

        Examples
        --------
        >>> import rheokit as rk
        >>> rate = [1.0, 3.0, 10.0, 30.0, 100.0]
        >>> model = rk.HerschelBulkley.lmfit_model()
        >>> stress = model.eval(shear_rate=rate, yield_stress=650.0, consistency=210.0, flow_index=0.38)
        >>> result = model.fit(stress, model.guess(stress, shear_rate=rate), shear_rate=rate)
        >>> result.best_values["yield_stress"], result.params["consistency"].user_data["unit"]
        (650.0, 'Pa·sⁿ')
        """
        from .lmfit_model import lmfit_model

        return lmfit_model(cls, prefix)

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:
        """Return what makes a parameter its coordinate in a fit, by name: γ̇ⁿ makes a consistency its stress at a rate [1/s].

        They may rest on parameters that have none themselves.
        """
        return {}

    @classmethod
    def to_coordinates(cls, values: dict[str, Numbers], shear_rate: float) -> list[Numbers]:
        """Return the coordinates of a fit for a dict of parameter values; `shear_rate` is the middle of the readings."""
        factors = cls.factors(values, shear_rate)
        scaled = {name: values[name] * factors.get(name, 1.0) for name in cls.parameters()}
        return [np.log(v) if cls.parameters()[name].logarithmic else v for name, v in scaled.items()]

    @classmethod
    def from_coordinates(cls, coordinates: Sequence[Numbers], shear_rate: float) -> dict[str, Numbers]:
        """Return the dict of parameter values for the coordinates of a fit; the inverse of `to_coordinates`."""
        about = cls.parameters()
        values = dict(zip(about, coordinates, strict=True))
        factors = cls.factors(values, shear_rate)
        return {
            name: (np.exp(v) if about[name].logarithmic else v) / factors.get(name, 1.0) for name, v in values.items()
        }

    @classmethod
    def to_draw_coordinates(
        cls, values: dict[str, Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> list[Numbers]:
        """Return coordinates in which joint draws have a flat prior; those of the fit unless a law says otherwise."""
        return cls.to_coordinates(values, shear_rate)

    @classmethod
    def from_draw_coordinates(
        cls, coordinates: Sequence[Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> dict[str, Numbers]:
        """Return the dict of parameter values for draw coordinates; NaN where there is no such law."""
        return cls.from_coordinates(coordinates, shear_rate)
