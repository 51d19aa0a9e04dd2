"""What is asked of a material, an extruder and a job with best values and with the joint draws of a map."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from ..hints import Numbers
from ..inputs import trusted
from ..limits import Case
from ..limits.base import Limit
from ..machine.extruder import Extruder
from ..part.job import Job
from ..paste.material import Material
from ..sampling import Normals, errors_of_limits, limits_of


class Known(NamedTuple):
    """A best value with its 95 % limits, in SI."""

    value: float
    low: float
    high: float

    @classmethod
    def of(cls, value: Any, draws: Numbers) -> Known:
        """Return a best value with the 95 % limits of its draws, of which any may be infinite."""
        shown = np.clip(np.ravel(draws), -1e300, 1e300)  # between two infinite draws nothing is interpolated
        low, high = (float(end) if abs(end) < 1e299 else np.inf * np.sign(end) for end in limits_of(shown))
        return cls(float(value), low, high)


@dataclass(frozen=True, eq=False)
class Asked:
    """A material, an extruder and a job, asked of best values and of the joint draws of a map.

    Parameters
    ----------
    material : Material
    extruder : Extruder
    job : PrintJob or FibreJob
    draws, seed : int
    """

    material: Material
    extruder: Extruder
    job: Job
    draws: int = 2000
    seed: int = 0

    @cached_property
    def case(self) -> Case:
        """The `Case` of best values."""
        return Case.of(self.material, self.extruder, self.job)

    @cached_property
    def normals(self) -> Normals:
        """The standard normals of the draws."""
        return Normals(self.draws, self.seed)

    @cached_property
    def drawn(self) -> Case:
        """The `Case` of the draws."""
        pastes = self.material.draws(self.draws, self.seed)
        return self.case.drawn(pastes, self.normals, self.material.rig(self.extruder, self.draws, self.seed))

    @cached_property
    def effective(self) -> float:
        """How many independent draws those of the law were chosen from [-]; infinite where no fit stands behind it."""
        return np.inf if self.material.fit is None else self.material.fit.draw(self.draws, self.seed).effective

    def errors(self, ask: Callable[[Case], Numbers], limit: Limit) -> tuple[float, float]:
        """Return the standard errors, by the number of draws, of the limits of what `known` is asked, in SI."""
        with trusted():
            return errors_of_limits(
                ask(self.drawn) / np.exp(limit.drawn_error(self.case, self.normals)), self.effective
            )

    def known(self, ask: Callable[[Case], Numbers], limit: Limit) -> Known:
        """Return what is asked of a case, a bound of a limit, off by the error of that limit."""
        with trusted():
            found = ask(self.drawn) / np.exp(limit.drawn_error(self.case, self.normals))
            return Known.of(ask(self.case), found)
