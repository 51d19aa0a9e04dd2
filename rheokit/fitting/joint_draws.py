"""Joint draws of what was fitted: parameters, laws, an extruder with its law, bands."""

from functools import cached_property

import numpy as np

from ..inputs import trusted
from ..sampling import LEVEL
from . import draws, estimates, predictions


class JointDraws:
    """The part of a `FitResult` that draws: many laws that belong to the readings, each as likely as the next."""

    def draw(self, count, seed):
        """Return `Draws` of the coordinates; refused where fewer than 400 effective ones stand behind them."""
        if (count, seed) not in self._drawn:
            self._drawn[count, seed] = draws.of_fit(self, count, seed)
        return self._drawn[count, seed]

    @cached_property
    def _drawn(self):
        return {}

    def draws(self, count, seed):
        """Return `count` joint draws, a DataFrame with a column for each parameter, nuisance included."""
        return estimates.draws_table(self, self.draw(count, seed).theta)

    def band(self, quantity, level=LEVEL, count=2000, seed=0):
        """Return (low, high) of an array-valued quantity of the law, by joint draws: quick enough for a chart.

        NaN where the readings do not carry joint draws.
        """
        return predictions.band(self, quantity, level, count, seed)

    def sample_laws(self, count, seed):
        """Return one law whose fields are joint draws, shape (count, 1, 1), ready to broadcast against a map.

        With several batches it is the median batch's.
        """
        theta = self.draw(count, seed).theta
        values = self.problem.law_values(theta)
        with trusted():
            return self.problem.law_class(
                **{name: np.broadcast_to(value, len(theta))[:, None, None] for name, value in values.items()}
            )

    def nuisance_draws(self, count, seed):
        """Return the nuisance parameters by name, each of the joint draws that `sample_laws` gives, shape (count, 1, 1)."""
        values = self.problem.nuisance_values(self.draw(count, seed).theta)
        return {key: value[:, None, None] for key, value in values.items()}

    def sample(self, extruder, count, seed):
        """Return joint draws of a law and of an extruder, as the fit knows it: fields of shape (count, 1, 1).

        Parameters
        ----------
        extruder : Extruder
            Matched as in `interval`.
        count, seed : int
        """
        return self.sample_laws(count, seed), self.known(extruder).at(self.nuisance_draws(count, seed))
