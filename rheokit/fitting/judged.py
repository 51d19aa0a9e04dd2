"""What can be asked of a fit, and how far its answers are to be trusted: intervals, checks, the stamp of failed ones."""

from __future__ import annotations

import warnings
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from ..errors import ExtrapolationWarning, NotIdentifiedWarning
from ..hints import Numbers, OfLaw, Table
from ..machine.extruder import Extruder
from ..sampling import LEVEL
from . import checks, predictions, stamp
from .identified import OPEN
from .joint_draws import JointDraws
from .predictions import Interval


class Judged(JointDraws):
    """The part of a `FitResult` that answers, and judges itself."""

    # --- predictions --------------------------------------------------------------------------------------------

    def covers(self, slowest: float, fastest: float) -> tuple[bool, str]:
        """Return whether the readings cover a range of rates [1/s], and in words what is asked for and covered."""
        return predictions.covers(self, slowest, fastest)

    def missing(self, quantity: OfLaw, extruder: Extruder | None = None) -> str:
        """Return "not identified: needs ..." where a quantity, asked as in `interval`, rests on what is open, else ""."""
        return self.needed if np.any(predictions.rests_on_open(self, quantity, extruder)) else ""

    def stress(self, shear_rate: ArrayLike) -> Numbers:
        """Return the shear stress [Pa] at shear rates [1/s]: NaN where it rests on what the readings leave open."""
        return predictions.stress(self, shear_rate)

    def interval(
        self, quantity: OfLaw, level: float = LEVEL, extruder: Extruder | None = None, batch: str = "median"
    ) -> Interval:
        """Return the profile interval of anything that can be computed from a law, and from an extruder with it.

        Parameters
        ----------
        quantity : callable
            Takes a law and returns a number (a stress, a pressure, a force), or an array of them; with `extruder` it takes
            a law and an extruder.
        level : float
            Of confidence. [-]
        extruder : Extruder, optional
            ``quantity(law, extruder)`` is asked with its plunger friction, barrel drag, bore and slip as the fit knows them:
            those of the apparatus that it names, or of the only extruder of the bench where the barrel is the same. A
            friction or drag that is neither left out nor the bench's, and the bore of another tip, are taken as exact;
            the comment says what is as fitted and what is exact.
        batch : {"median", "next"}
            The median batch, or the next one: with the spread from batch to batch, and with how well a few batches tell it.
            Where one batch alone was read a spread of 0.15 in ln stress is assumed.

        Returns
        -------
        Interval
            value, low, high, extrapolated, comment; in the unit that `quantity` returns. The limits hold the law's
            uncertainty and that of the extruder; the error of the nozzle's own theory comes on top. With several batches the
            comment says which is meant. Where the quantity rests on parameters to which the readings set no limit, the
            value is NaN, and the comment begins with "not identified: needs ...". Where checks of the fit forbid to use it,
            their `stamp` stands before all.

        Raises
        ------
        DataError
            If `batch` is another word, or the extruder names an apparatus that no run of the fit has.

        Warns
        -----
        ExtrapolationWarning
            If the quantity asks for rates that the readings do not cover.
        NotIdentifiedWarning
            If it rests on what they leave open.
        """
        found = predictions.interval(self, quantity, level, extruder, batch)
        if found.comment.startswith(OPEN):
            warnings.warn(f"{found.comment}.", NotIdentifiedWarning, stacklevel=2)
        elif found.extrapolated:
            warnings.warn(f"extrapolated: {found.comment}.", ExtrapolationWarning, stacklevel=2)
        return found._replace(comment=f"{self.stamp} {found.comment}") if stamp.forbids(self) else found

    @cached_property
    def stresses(self) -> Table:
        """Shear stress at 1, 10 and 100 1/s and at the rates of use, with 95 % limits; better conditioned than K and n."""
        return predictions.stresses(self)

    def band(
        self, quantity: OfLaw, level: float = LEVEL, count: int = 2000, seed: int = 0
    ) -> tuple[np.ndarray, np.ndarray]:
        """Return (low, high) of an array-valued quantity of the law, by joint draws: quick enough for a chart.

        NaN where the readings do not carry joint draws.
        """
        return predictions.band(self, quantity, level, count, seed)

    # --- trust --------------------------------------------------------------------------------------------------

    @cached_property
    def checks(self) -> Table:
        """Questions the fit answers about itself: question, value, threshold, passed, comment (a DataFrame)."""
        return self.checks_with_rows.drop(columns="rows")

    @cached_property
    def checks_with_rows(self) -> Table:
        """The same, and the readings that each is about: (place of the test, place of the reading in it), from 0."""
        return checks.table(self)

    @cached_property
    def stamp(self) -> str:
        """What every number and picture of this fit must carry, in words: empty where all checks passed."""
        return stamp.stamp(self)

    @property
    def verdict(self) -> str:
        """Whether the numbers may be used: the stamp, and the checks that failed, the likeliest cause first."""
        return stamp.verdict(self)

    @property
    def suspect_rows(self) -> tuple[tuple[int, int], ...]:
        """Readings to mark, those of the likeliest cause: (place of the test in `tests`, place of the reading), from 0."""
        return stamp.suspect_rows(self)
