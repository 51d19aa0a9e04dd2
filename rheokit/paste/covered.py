"""What the readings behind a material cover of temperature, water and age, and its law at a condition."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Self

from ..errors import ExtrapolationWarning
from ..hints import Numbers
from ..inputs import warn_outside
from ..laws import FlowLaw
from ..laws.at_condition import AtCondition
from ..laws.condition_words import beyond
from .properties import Paste

if TYPE_CHECKING:
    from ..fitting.result import FitResult

RANGES = {"temperature": "temperature_range", "water_content": "water_range", "age": "age_range"}  # by the condition


@dataclass(frozen=True, kw_only=True, eq=False)
class Covered:
    """The part of a `Material` that knows which conditions were read, and by which fit.

    Parameters
    ----------
    paste : Paste
    temperature_range : tuple of float or None
        Temperatures that the readings cover, where the law depends on them. [K]
    water_range : tuple of float or None
        Water contents, dry basis. [-]
    age_range : tuple of float or None
        Times since mixing. [s]
    apparatus : callable, optional
        (extruder, count, seed) to the `Rig` that the readings behind the law know: best values for a count of 0, else the
        draws that belong to those of the law.
    """

    paste: Paste
    temperature_range: tuple | None = None
    water_range: tuple | None = None
    age_range: tuple | None = None
    apparatus: Callable | None = field(default=None, repr=False)

    @property
    def fit(self) -> FitResult | None:
        """The fit behind law and apparatus; None where there is none."""
        return getattr(self.apparatus, "fit", None)

    @property
    def own_law(self) -> FlowLaw:
        """The law whose parameters are told and drawn: at its reference, where the paste is at another condition."""
        law = self.paste.law
        return law.law if isinstance(law, AtCondition) else law

    def law_at(
        self, temperature: float | None = None, water_content: float | None = None, age: float | None = None
    ) -> FlowLaw:
        """Return the law of its paste at a condition, as ``Paste.law_at`` does: temperature [K], water content [-, dry basis], age [s].

        Raises
        ------
        DataError
            Below the gel point.

        Warns
        -----
        ExtrapolationWarning
            Outside the temperatures, water contents and ages that the readings cover.
        """
        law = self.paste.law_at(temperature, water_content, age)
        if said := self.outside(temperature=temperature, water_content=water_content, age=age):
            warn_outside(f"Material.law_at: {said}", ExtrapolationWarning)
        return law

    def at(
        self, *, temperature: float | None = None, water_content: float | None = None, age: float | None = None
    ) -> Self:
        """Return the material at a condition: its law there, drawn with its effects, and the modulus with the water.

        Parameters
        ----------
        temperature : float, optional
            [K]
        water_content : float, optional
            Dry basis. [-]
        age : float, optional
            Since mixing. [s]

        Returns
        -------
        material : Material

        Raises
        ------
        DataError
            Below the gel point, or where the water is to move and nothing says how.

        Warns
        -----
        ExtrapolationWarning
            Outside the temperatures, water contents and ages that the readings cover.
        """
        if said := self.outside(temperature=temperature, water_content=water_content, age=age):
            warn_outside(f"Material.at: {said}", ExtrapolationWarning)
        paste = self.paste if water_content is None else self.paste.at_water(water_content)
        return replace(self, paste=replace(paste, law=paste.law_at(temperature, None, age)))

    def outside(self, **asked: Numbers | None) -> str:
        """Return in a sentence what of a condition, by name, the readings behind the law do not cover; empty where they do."""
        ranges = {name: getattr(self, field) for name, field in RANGES.items()}
        given = {
            name: value for name, value in asked.items() if value is not None and name in self.paste.law.depends_on
        }
        return beyond(given, ranges)
