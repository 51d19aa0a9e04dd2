"""Joint draws of what was fitted: parameters, laws, an extruder with its law."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from ..hints import Table
from ..inputs import trusted
from ..laws import FlowLaw
from ..machine.extruder import Extruder
from . import apparatus, draws
from .estimates import Estimates


class JointDraws(Estimates):
    """The part of a `FitResult` that draws: many laws that belong to the readings, each as likely as the next."""

    def draw(self, count: int, seed: int) -> draws.Draws:
        """Return `Draws` of the coordinates; refused where fewer than 400 effective ones stand behind them."""
        if (count, seed) not in self._drawn:
            self._drawn[count, seed] = draws.of_fit(self, count, seed)
        return self._drawn[count, seed]

    @cached_property
    def _drawn(self):
        return {}

    def draws(self, count: int, seed: int) -> Table:
        """Return `count` joint draws, a DataFrame with a column for each parameter, nuisance included; NaN if open."""
        from ..frames import Frame

        theta, problem = self.draw(count, seed).theta, self.problem
        found = {name: np.broadcast_to(column, len(theta)) for name, column in problem.values(theta).items()}
        found |= dict.fromkeys(self.not_identified, np.full(len(theta), np.nan))
        return Frame({name: found[name] for name in [*problem.law_class.parameters(), *problem.nuisances]})

    def sample_laws(self, count: int, seed: int) -> FlowLaw:
        """Return one law whose fields are joint draws, shape (count, 1, 1), ready to broadcast against a map.

        With several batches it is the median batch's.
        """
        theta = self.draw(count, seed).theta
        values = self.problem.law_values(theta)
        with trusted():
            return self.problem.law_class(
                **{name: np.broadcast_to(value, len(theta))[:, None, None] for name, value in values.items()}
            )

    def nuisance_draws(self, count: int, seed: int) -> dict[str, np.ndarray]:
        """Return the nuisance parameters by name, each of the joint draws that `sample_laws` gives, shape (count, 1, 1)."""
        values = self.problem.nuisance_values(self.draw(count, seed).theta)
        return {key: value[:, None, None] for key, value in values.items()}

    def known(self, extruder: Extruder) -> apparatus.Known:
        """Return what the fit knows of an extruder, as `apparatus.Known`; see `interval`."""
        return apparatus.known(self, extruder)

    def sample(self, extruder: Extruder, count: int, seed: int) -> tuple[FlowLaw, Extruder]:
        """Return joint draws of a law and of an extruder, as the fit knows it: fields of shape (count, 1, 1).

        Parameters
        ----------
        extruder : Extruder
            Matched as in `interval`.
        count, seed : int
        """
        return self.sample_laws(count, seed), self.known(extruder).at(self.nuisance_draws(count, seed))
