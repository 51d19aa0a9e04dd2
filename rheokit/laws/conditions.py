"""Laws that depend on the condition of the paste: its temperature, its water, its age, by one mechanism.

A condition gives a law one parameter more and a reference, and moves every stress or every rate by a factor (`Shifted`), which is
exact for every law. At the reference the law is the one that it was made of, closed forms and all; `law.at(...)` is the law at
another condition. Conditions stand beside each other in one order, whichever was asked for first, so that there is one class
for each set of them. `Condition` says what one is; `heated`, `watered` and `aged` are those there are.
"""

from __future__ import annotations

import copyreg
import re
from abc import ABCMeta
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple, Self

import numpy as np
from numpy.typing import ArrayLike

from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, judged_number, require, trusted
from ..things import called
from .at_condition import AtCondition
from .base import FlowLaw
from .condition_words import CONDITIONS
from .parameters import Parameter
from .shifted import Shifted

if TYPE_CHECKING:
    import lmfit

RATE, STRESS, ROOT = re.compile(r"γ̇(?!_)([ⁿ½ᵃ]?)"), re.compile(r"τ(?= =)"), re.compile(r"√τ(?= =)")
"""Rates in the equation of a law, with the power to which one is raised, its stress, and the root of that."""


class Condition(NamedTuple):
    """What a law may depend on beside the rate.

    Attributes
    ----------
    name : str
        Of the quantity in the nomenclature.
    word : str
        What a law is called that depends on it, which is the name of the function that makes one.
    reference_name : str
        Of the reference, an attribute of the class.
    parameter_name : str
        Of its parameter; 0 is no effect.
    parameter : Parameter
        Its `size` is a usual value, from which a fit starts.
    factors : callable
        (value, reference, parameter) to the factors on every stress and on every rate [-].
    source : str
    factor, reference_symbol : str
        Symbols of its factor and of its reference.
    rule : str
        The equation of its factor.
    meaning : str
        In a sentence or two what its parameter is, and what the factor does not move.
    symbols : tuple of (symbol, what it is, SI unit)
        Of the rule, beside the parameter.
    on_rates : bool
        True where it is a factor on every rate, False where on every stress.
    above_zero : bool
        True where its factors are of no value of 0.
    """

    name: str
    word: str
    reference_name: str
    parameter_name: str
    parameter: Parameter
    factors: Callable[[Numbers, float, Numbers], tuple[Numbers, Numbers]]
    source: str
    factor: str
    reference_symbol: str
    rule: str
    meaning: str
    symbols: tuple[tuple[str, str, str], ...]
    on_rates: bool = False
    above_zero: bool = True


class MadeOfAnother(ABCMeta):
    """The class of classes of laws that were made of another one: they are pickled by what they were made of."""


@dataclass(frozen=True, eq=False)
class Conditioned(FlowLaw, metaclass=MadeOfAnother):
    """A law of another class, at a reference condition; `at` another one it is the same law shifted."""

    base: ClassVar[type[FlowLaw]]

    @property
    def depends_on(self) -> tuple[str, ...]:
        """Names of the conditions that it depends on."""
        return tuple(condition.name for condition, _ in self.conditions)

    @property
    def effects(self) -> dict[str, Numbers]:
        """Values of the parameters that say how conditions act, by name."""
        return {condition.parameter_name: getattr(self, condition.parameter_name) for condition, _ in self.conditions}

    @property
    def condition(self) -> dict[str, Numbers]:
        """Its references, by the name of the condition."""
        return {condition.name: reference for condition, reference in self.conditions}

    @classmethod
    def equation(cls) -> str:
        """Return the equation with the factors of its conditions in it, such as "τ = K (a_T γ̇)ⁿ"; each has a `rule`."""
        on_rates = [one.factor for one, _ in cls.conditions if one.on_rates]
        on_stresses = [one.factor for one, _ in cls.conditions if not one.on_rates]
        said = cls.base.equation()
        if on_rates:
            rate = f"{' '.join(on_rates)} γ̇"
            said = RATE.sub(lambda found: f"({rate}){found[1]}" if found[1] else rate, said)
        if on_stresses:
            by = " ".join(on_stresses)
            over = f"τ/({by})" if len(on_stresses) > 1 else f"τ/{by}"
            said = STRESS.sub(over, ROOT.sub(f"√({over})", said))
        return said

    # --- at a condition -----------------------------------------------------------------------------------------

    @classmethod
    def factors_at(cls, given: Mapping[str, Any], effects: Mapping[str, Numbers]) -> tuple[Numbers, Numbers]:  # noqa: D102
        stress: Numbers = 1.0
        rate: Numbers = 1.0
        for condition, reference in cls.conditions:
            if (value := given.get(condition.name)) is not None:
                value = np.asarray(value, float)
                if condition.above_zero:
                    nothing = np.less_equal(value, 0)  # what is not known is NaN, and passes
                    require(
                        f"the {cls.name} law",
                        condition.name,
                        value,
                        ~nothing,
                        "must be above 0; check the value and its unit",
                    )
                more = condition.factors(value, reference, effects[condition.parameter_name])
                stress, rate = stress * more[0], rate * more[1]
        return stress, rate

    @guarded
    def stress_factor(
        self, temperature: ArrayLike | None = None, water_content: ArrayLike | None = None, age: ArrayLike | None = None
    ) -> Numbers:
        """Return the factor on every stress [-] at a temperature [K], water content [-, dry basis] and age [s]; 1 at the reference."""
        return self.factors_at({"temperature": temperature, "water_content": water_content, "age": age}, self.effects)[
            0
        ]

    @guarded
    def rate_factor(
        self, temperature: ArrayLike | None = None, water_content: ArrayLike | None = None, age: ArrayLike | None = None
    ) -> Numbers:
        """Return the factor on every rate [-] at a temperature [K], water content [-, dry basis] and age [s]; 1 at the reference."""
        return self.factors_at({"temperature": temperature, "water_content": water_content, "age": age}, self.effects)[
            1
        ]

    @guarded
    def at(
        self, temperature: ArrayLike | None = None, water_content: ArrayLike | None = None, age: ArrayLike | None = None
    ) -> FlowLaw:
        """Return the law at a temperature [K], water content [-, dry basis] and age [s]; what is not given is at its reference."""
        given = temperature, water_content, age
        asked: list[Any] = [
            value if name in self.depends_on else None for name, value in zip(CONDITIONS, given, strict=True)
        ]
        return self if all(value is None for value in asked) else AtCondition(self, *asked)

    @property
    def unconditioned(self) -> FlowLaw:
        """The law at its reference, of the class that it was made of."""
        with trusted():
            return self.base(**{name: getattr(self, name) for name in self.base.parameters()})

    @property
    def plain(self) -> FlowLaw:
        """The law at its reference, itself plain."""
        return self.unconditioned.plain

    @property
    def general(self) -> FlowLaw | None:
        """The law that the one at its reference computes with, which depends on the same conditions."""
        general = self.unconditioned.general
        if general is None:
            return None
        with trusted():
            return _made(type(general), self.conditions)(**general.values, **self.effects)

    # --- for the fit --------------------------------------------------------------------------------------------

    @classmethod
    def without_conditions(cls) -> type[FlowLaw]:
        """Return the class of laws that it was made of."""
        return cls.base

    @classmethod
    def lmfit_model(cls, prefix: str = "") -> lmfit.Model:
        """Return the model of the curve at the reference, in which the parameters of conditions do not show."""
        return cls.base.lmfit_model(prefix)

    @classmethod
    def holding(cls, smaller: FlowLaw) -> dict[str, Numbers] | None:
        """Return the values at which this law is another one: one that depends on fewer conditions has no effect of the others."""
        if not set(smaller.conditions) <= set(cls.conditions):
            return None
        values = cls.base.holding(smaller.unconditioned)
        if values is None:
            return None
        return values | {one.parameter_name: getattr(smaller, one.parameter_name, 0.0) for one, _ in cls.conditions}

    @classmethod
    def guess(cls, shear_rate: ArrayLike, shear_stress: ArrayLike) -> Self:
        """Return the guess of the law that it was made of, with a usual effect of each condition."""
        usual = {condition.parameter_name: condition.parameter.size for condition, _ in cls.conditions}
        return cls(**cls.base.guess(shear_rate, shear_stress).values, **usual)

    @classmethod
    def factors(cls, values: dict[str, Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return cls.base.factors(values, shear_rate)

    @classmethod
    def to_coordinates(cls, values: dict[str, Numbers], shear_rate: float) -> list[Numbers]:  # noqa: D102
        return cls._with_own(cls.base.to_coordinates, values, shear_rate)

    @classmethod
    def from_coordinates(cls, coordinates: Sequence[Numbers], shear_rate: float) -> dict[str, Numbers]:  # noqa: D102
        return cls._from_own(cls.base.from_coordinates, coordinates, shear_rate)

    @classmethod
    def to_draw_coordinates(
        cls, values: dict[str, Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> list[Numbers]:
        """Return the draw coordinates of the law that it was made of, and the parameters of conditions as they are."""
        return cls._with_own(cls.base.to_draw_coordinates, values, shear_rate, rates)

    @classmethod
    def from_draw_coordinates(
        cls, coordinates: Sequence[Numbers], shear_rate: float, rates: tuple[float, float]
    ) -> dict[str, Numbers]:
        """Return the dict of parameter values for draw coordinates; NaN where there is no such law."""
        return cls._from_own(cls.base.from_draw_coordinates, coordinates, shear_rate, rates)

    @classmethod
    def _with_own(cls, to, values, *rates):
        head = to({name: values[name] for name in cls.base.parameters()}, *rates)
        return [*head, *(values[condition.parameter_name] for condition, _ in cls.conditions)]

    @classmethod
    def _from_own(cls, back, coordinates, *rates):
        count = len(cls.base.parameters())
        own = {one.parameter_name: value for (one, _), value in zip(cls.conditions, coordinates[count:], strict=True)}
        return back(coordinates[:count], *rates) | own


def conditioned(law_class: type[FlowLaw], condition: Condition, reference: float) -> type[Conditioned]:
    """Return the class of laws that depends on a condition as well, made once for each reference."""
    where = condition.word
    if not (isinstance(law_class, type) and issubclass(law_class, FlowLaw)) or issubclass(law_class, Shifted):
        raise DataError(f"{where}: {called(law_class)} is no class of laws; give one such as rk.HerschelBulkley.")
    reference = float(judged_number(where, condition.reference_name, reference, condition.name))
    if not reference > 0 and condition.above_zero:
        raise DataError(
            f"{where}: {condition.reference_name} = {reference:g} must be above 0; check the value and its unit."
        )
    held = law_class.conditions
    if condition.name in {one.name for one, _ in held}:
        raise DataError(
            f"{where}: the {law_class.name or law_class.__name__} law is {where} already, with {condition.reference_name} = "
            f"{getattr(law_class, condition.reference_name):g}; make it anew of {law_class.without_conditions().__name__}."
        )
    every = sorted([*held, (condition, reference)], key=lambda one: CONDITIONS.index(one[0].name))
    return _made(law_class.without_conditions(), tuple(every))


@cache
def _made(base: type[FlowLaw], conditions: tuple[tuple[Condition, float], ...]) -> type[Conditioned]:
    words = [condition.word for condition, _ in conditions]
    body: dict[str, Any] = {"__annotations__": {}, "__module__": __name__, "base": base, "conditions": conditions}
    for condition, reference in conditions:
        body["__annotations__"][condition.parameter_name] = "Numbers"
        body[condition.parameter_name] = field(metadata={"parameter": condition.parameter})
        body[condition.reference_name] = reference
    body["name"] = " ".join([*words, base.name or base.__name__])
    body["source"] = "; ".join([base.source, *(condition.source for condition, _ in conditions)])
    body["__doc__"] = f"{base.__name__} at its reference, and {' and '.join(words)} at another condition."
    made: Any = MadeOfAnother("".join([*map(str.capitalize, words), base.__name__]), (Conditioned, base), body)
    return dataclass(frozen=True, eq=False)(made)


def _remade(law_class):
    """Return how a class of laws is made again, for pickles."""
    return (_made, (law_class.base, law_class.conditions)) if law_class.conditions else law_class.__qualname__


copyreg.pickle(MadeOfAnother, _remade)
