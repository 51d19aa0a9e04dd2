"""A law at a condition: shifted as its temperature, its water and its age ask."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike

from ..hints import Numbers
from ..inputs import trusted
from .base import FlowLaw
from .condition_words import CONDITIONS
from .shifted import Shifted

if TYPE_CHECKING:
    from .conditions import Conditioned


@dataclass(frozen=True, eq=False)
class AtCondition(Shifted):
    """A law at a condition: shifted as that asks, and at another condition not shifted twice.

    `given` holds temperature [K], water content [-, dry basis] and age [s], None where it is at its reference.
    """

    law: Conditioned
    given: tuple = ()

    def __init__(
        self,
        law: Conditioned,
        temperature: Numbers | None = None,
        water_content: Numbers | None = None,
        age: Numbers | None = None,
        **made_before: Any,
    ) -> None:
        """Take a law and a condition; `made_before` is what another one was changed from, which its law and condition say anew."""
        given = made_before.get("given", (temperature, water_content, age))
        object.__setattr__(self, "given", given)
        super().__init__(law, *law.factors_at(dict(zip(CONDITIONS, given, strict=True)), law.effects))

    @property
    def condition(self) -> dict[str, Numbers]:
        """Where it is: as given, else at the reference."""
        given = zip(CONDITIONS, self.given, strict=True)
        return self.law.condition | {name: value for name, value in given if value is not None}

    def of(self, law: FlowLaw) -> FlowLaw:
        """Return another law at this condition."""
        return law.at(*self.given)

    @property
    def alike(self) -> FlowLaw | None:
        """The laws alike of the law at its reference, at the same condition."""
        laws = self.law.alike
        return None if laws is None else laws.at(*self.given)

    def at(
        self, temperature: ArrayLike | None = None, water_content: ArrayLike | None = None, age: ArrayLike | None = None
    ) -> FlowLaw:
        """Return the law at another condition; what is not given stays."""
        asked = temperature, water_content, age
        return self.law.at(*(old if new is None else new for new, old in zip(asked, self.given, strict=True)))

    def lifted(self) -> FlowLaw:
        """Return the same law with one trailing axis on every number."""
        with trusted():
            lifted = (None if one is None else np.asarray(one, float)[..., None] for one in self.given)
            return AtCondition(self.law.lifted(), *lifted)  # type: ignore[arg-type]  # it stays of its class
