"""How to wind a fibre: the speed for a dry diameter, the longest gap, the shortest bath, and when a bare needle blocks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..fibre.draw import winding_speed
from ..inputs import trusted
from ..limits import LIMITS
from ..limits.base import quietly
from ..limits.drawing import FLOW, WINDING
from ..limits.judgement import why_not_judged
from ..part.winding import FibreJob
from .asked import Asked, Known

GAP_LIMITS = ("even draw", "beads", "taut thread")
"""Which of a longer gap are met first, one or the other."""
OF_NOZZLE = "nozzle above gel point"
"""Which says that there is a fibre at all: what has set in the nozzle is neither drawn nor wound."""
GAPS = (1e-4, 1.0)  # m, between which a gap is looked for
WAYS = (100.0, 1e-4)  # m
BATHS = (20.0, 1e-3)  # m, from the longest down
LONGEST_PAUSE = 1.0  # s, of a pause that only asks for the limit of one
HALVINGS = 22  # of the logarithm between two ends: to 2e-6


@dataclass(frozen=True, eq=False)
class Winding(Asked):
    """A fibre that is drawn and wound, asked of best values and of the joint draws of a map.

    Parameters
    ----------
    material : Material
    extruder : Extruder
    job : FibreJob
    draws, seed : int
    """

    job: FibreJob
    draws: int = 500

    # --- how fast ---------------------------------------------------------------------------------------------------

    @property
    def lacks_speed(self) -> str:
        """What is not known and says how fast to wind, in words."""
        if self.job.dry_diameter is None:
            return "no dry diameter is wanted"
        return "" if self.material.paste.dry_section else "dry section not known"

    @cached_property
    def winding_speed(self) -> Known | None:
        """Speed at which the fibre dries to the diameter wanted [m/s]; None where it is not known."""
        if self.lacks_speed:
            return None
        job, limit = self.job, LIMITS["dry diameter"]

        def speed(case, miss=1.0, off=0.0):
            wanted = job.dry_diameter * np.exp(-off)
            known = {"dry_section": case.paste.dry_section, "held": job.held}
            return winding_speed(wanted, flow_rate=job.throughput * miss, **known)

        with trusted():
            flow = np.exp(self.normals(FLOW) * job.flow_error - self.normals(WINDING) * job.speed_error)
            drawn = speed(self.drawn, flow, limit.drawn_error(self.case, self.normals))
            return Known.of(speed(self.case), drawn)

    @cached_property
    def at_diameter(self) -> Winding:
        """The same wound as fast as the diameter wanted asks for; as it is, where that is not known."""
        found = self.winding_speed
        return self if found is None else replace(self, job=replace(self.job, winding_speed=found.value))

    # --- how far ----------------------------------------------------------------------------------------------------

    @cached_property
    def gap_limits(self) -> list[str]:
        """Names of the limits of a longer gap that can be judged: none by a law that the readings leave open."""
        judged = [name for name in GAP_LIMITS if _judges(self.case, LIMITS[name])]
        return [] if self.material.not_identified else judged

    @cached_property
    def sets_in_nozzle(self) -> bool:
        """Whether the gel leaves the nozzle too cold to flow as its law says, so that nothing that follows holds."""
        limit = LIMITS[OF_NOZZLE]
        return _judges(self.case, limit) and bool(np.any(quietly(limit.margin, self.case) < 0))

    @cached_property
    def longest_gap(self) -> tuple[Known, str] | None:
        """Longest gap over which it is drawn evenly, without beads and taut [m], and the limit that ends it; None if not known.

        0 where no gap will do, as where it sets in the nozzle; infinite where none above 1 m is too long.
        """
        if self.sets_in_nozzle:
            return Known(0.0, 0.0, 0.0), OF_NOZZLE
        if not self.gap_limits:
            return None
        found = self._known_end(self.gap_limits, "gap", GAPS, none=0.0)
        at = min(max(found.value, GAPS[0]), GAPS[1])
        there = _with(self.case, "gap", at)
        return found, min(self.gap_limits, key=lambda name: float(quietly(LIMITS[name].margin, there)))

    @cached_property
    def shortest_bath(self) -> Known | None:
        """Shortest bath in which it sets before the drum [m]; None without a bath, or where it is not known.

        Infinite where no bath of 20 m is long enough; 0 where it sets in the air. Not known of what sets in the nozzle.
        """
        if self.sets_in_nozzle or not self.job.has_bath or not _judges(self.case, LIMITS["set before winding"]):
            return None
        return self._known_end(["set before winding"], "bath_length", BATHS, none=np.inf)

    @cached_property
    def shortest_air_way(self) -> Known | None:
        """Way in the air on which it sets [m]; None where it is not known.

        As a gap of the same job would be without a bath: infinite where no 100 m are enough.
        """
        in_air = replace(self, job=replace(self.job, bath_length=0.0))
        if self.sets_in_nozzle or not _judges(in_air.case, LIMITS["set before winding"]):
            return None
        return in_air._known_end(["set before winding"], "gap", WAYS, none=np.inf)

    def _known_end(self, names, field, ends, none):
        best = self._end(names, field, ends, none, self.case)
        return Known.of(best, self._end(names, field, ends, none, self.drawn, self.normals))

    def _end(self, names, field, ends, none, case, normals=None):
        """Return the value of a setting up to which limits hold, from one end, where they should, to the other."""
        safe, other = ends

        def holds(value):
            there = _with(case, field, value)
            margins = [quietly(lambda at, one=LIMITS[name]: one.margin(at, normals), there) for name in names]
            return np.min(np.broadcast_arrays(*margins), axis=0) >= 0

        with trusted():
            anywhere, everywhere = holds(safe), holds(other)
            inside, outside = np.full(anywhere.shape, np.log(safe)), np.full(anywhere.shape, np.log(other))
            for _ in range(HALVINGS):
                middle = (inside + outside) / 2
                good = holds(np.exp(middle))
                inside, outside = np.where(good, middle, inside), np.where(good, outside, middle)
        beyond = np.inf if other > safe else 0.0
        return np.where(everywhere, beyond, np.where(anywhere, np.exp(inside), none))

    # --- what if ----------------------------------------------------------------------------------------------------

    @cached_property
    def bare(self) -> Winding:
        """The same out of a needle that nothing heats."""
        pause = LONGEST_PAUSE if self.job.pause is None else self.job.pause
        return replace(self, job=replace(self.job, nozzle_temperature=None, pause=pause))

    @cached_property
    def blocks_after(self) -> Known | None:
        """Time after which a bare needle has blocked when the flow stops [s]; None where it is not known."""
        limit = LIMITS["pause"]
        return self.bare.known(limit.high, limit) if _judges(self.bare.case, limit) else None


def _judges(case, limit):
    return limit.concerns(case) and not why_not_judged(case, limit)


def _with(case, field, value):
    return replace(case, job=replace(case.job, **{field: value}))
