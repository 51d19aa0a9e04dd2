"""Joint draws of a fit, made once for a page: of the law, and of what the readings know of an extruder."""

from typing import Any

import numpy as np

from ...errors import DataError
from ...fitting import FitResult
from ...laws import Shifted
from ...machine.extruder import Extruder

DRAWS, SEED = 500, 0


class NozzleDraws:
    """Draws on which every band and limit of the page rests.

    Attributes
    ----------
    none : str
        Why there are none; "" where there are.
    """

    def __init__(self, fit: FitResult) -> None:
        self._fit, self.none = fit, ""
        self.laws: Any = None
        try:
            drawn = fit.sample_laws(DRAWS, SEED)
            self.laws = type(drawn)(**{name: np.asarray(value)[:, 0, 0] for name, value in drawn.values.items()})
            self._nuisance = fit.nuisance_draws(DRAWS, SEED)
        except DataError as error:
            self.none = f"No 95 % limits: {error}"

    def of_law(self, stiffness: float, shape: tuple[int, ...] = ()) -> Shifted | None:
        """Return the laws with every stress times `stiffness`, each field of shape (count, ...); None without draws."""
        if self.laws is None:
            return None
        values = {name: value.reshape(-1, *shape) for name, value in self.laws.values.items()}
        return Shifted(type(self.laws)(**values), stress_factor=stiffness)

    def of_extruder(self, extruder: Extruder, shape: tuple[int, ...] = ()) -> Extruder | None:
        """Return an extruder as the fit knows it, drawn with the law: what it knows of shape (count, ...)."""
        if self.laws is None:
            return None
        values = {name: value.reshape(-1, *shape) for name, value in self._nuisance.items()}
        return self._fit.known(extruder).at(values)


def lacks_of(fit: FitResult) -> str:
    """Return what the readings of a fit lack for a force; nothing where they lack nothing."""
    missing = fit.missing(lambda law: law.shear_stress(np.array([1.0, 10.0, 100.0])))
    return missing if set(fit.not_identified) & set(fit.problem.law_class.parameters()) else ""
