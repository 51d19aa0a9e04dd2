r"""Start and stop of an extruder whose paste holds air: the lag, the ooze, and how far to pull back.

Between the screw and the tip lies a volume S(p) that pressure has stored: trapped gas (Boyle's law, isothermal) and
what barrel and plunger give way by. It obeys

.. math:: \frac{dS}{dt} = Q_{in} - Q(p), \qquad S(p) = V_g\,\frac{p}{p_0 + p} + C_s\,p,

which is no exponential where the paste has a yield stress or thins with shear. The pressure p(q) of an outflow q is the
law's own, so the outflow is taken as the variable and nothing is inverted. By parts, the time from the start to a share
f = q/Q_in of the flow, and the time from a stop until the outflow has fallen to q, are

.. math:: t = \frac{1}{Q_{in}} \Big[S(f) + \int_0^{f/(1-f)} \big(S(f) - S(f')\big)\,d\frac{f'}{1-f'}\Big], \qquad
          t = \frac{S_0 - S(q)}{Q_{in}} + \int_{1/Q_{in}}^{1/q} \big(S(q') - S(q)\big)\,d\frac{1}{q'},

both smooth in ln q. What has oozed out by then is S_0 - S(q), exactly.

Gas that is not known is refused, and not taken for none. Barrel and plunger whose compliance is not known are taken as
rigid: they only add to S, so that every time and volume is then a lower bound, and says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers
from ..inputs import doubt_open, guarded, positive, settled
from ..laws import FlowLaw
from ..roots import increasing_root
from .compression import Compression
from .extruder import Extruder
from .lower_bound import LowerBound


def _gauss(edges, count):
    """Return nodes and weights of Gauss and Legendre on panels between edges, `count` on each."""
    nodes, weights = np.polynomial.legendre.leggauss(count)
    low, width = np.array(edges[:-1])[:, None], np.diff(edges)[:, None]
    return (low + width * (nodes + 1) / 2).ravel(), (width * weights / 2).ravel()


UNIT = _gauss([0.0, 1.0], 48)
DECAY = _gauss([0.0, 2.0, 6.0, 14.0, 36.0], 16)  # for exp(-u); the onset of slip and of yield are corners in it
LONGEST_FALL = 6.0  # ln of the fall of ln q: beyond exp(-400) of the flow nothing oozes


def rise(extruder: Extruder, law: FlowLaw, flow_rate: Numbers, air_content: Numbers | None) -> "Transient":
    """Return the start and the stop of an extruder that is driven at a flow.

    Parameters
    ----------
    extruder : Extruder
        Its fill and its compliance count.
    law : FlowLaw
    flow_rate : array-like
        Flow that the screw sets. [m3/s]
    air_content : array-like
        Share of the paste that is air. [-]

    Returns
    -------
    Transient
        Arrays broadcast: a law of draws gives draws of every time and volume.

    Raises
    ------
    DataError
        If the air content is None: not known is not 0 %.
    """
    doubt_open("rise", law)
    compression = Compression.of_paste(extruder.area * extruder.fill_length, air_content, extruder.compliance)
    return Transient(extruder=extruder, law=law, flow_rate=flow_rate, compression=compression)


@dataclass(frozen=True, kw_only=True, eq=False)
class Transient:
    """An extruder set off from rest at a flow, and stopped again once it runs steadily.

    Parameters
    ----------
    extruder : Extruder
    law : FlowLaw
    flow_rate : float or array-like
        Flow that the screw sets. [m3/s]
    compression : Compression

    Notes
    -----
    Where the extruder's compliance is not known, single times and volumes are a `LowerBound`, whose text says why.

    The fill is taken as constant meanwhile, the paste as having no elasticity and no thixotropy: after a long rest the
    first drop comes later, with the static yield stress. With air on the plunger the pressure is there at once, and
    there is no lag.
    """

    extruder: Extruder
    law: FlowLaw
    flow_rate: Numbers
    compression: Compression

    __repr__ = brief

    def __post_init__(self):
        with settled(self):
            positive("Transient", flow_rate=self.flow_rate)

    def _stored(self, share):
        """Return the volume [m3] stored while a share of the set flow comes out."""
        return self.compression.stored_volume(self.extruder.channel.pressure_drop(self.law, share * self.flow_rate))

    def _at_least(self, value, unit):
        """Return a time or volume as what it is: a lower bound where the compliance is not known."""
        give = self.compression.compliance
        return LowerBound(value, unit, give.reason) if isinstance(give, LowerBound) and np.ndim(value) == 0 else value

    def _quadrature(self, nodes, weights, like=0.0):
        """Return nodes and weights on a first axis of their own, before those of every result."""
        lift = (slice(None), *(None,) * max(np.ndim(self._full), np.ndim(like)))
        return nodes[lift], weights[lift]

    # --- start --------------------------------------------------------------------------------------------------

    @cached_property
    def pressure(self) -> Numbers:
        """Pressure at the plunger face once it runs steadily [Pa]."""
        return self.extruder.pressure(self.law, self.flow_rate)

    @cached_property
    def first_drop(self) -> Numbers:
        """Time until the paste yields and the first of it comes out [s], the nozzle being full."""
        return self._at_least(self._stored(0.0) / self.flow_rate, "s")

    @guarded
    def time_to(self, share: Numbers) -> Numbers:
        """Return the time [s] until a share of the set flow comes out [-], a number between 0 and 1."""
        if not 0 < share < 1:
            raise DataError(f"Transient.time_to: share = {share:g} must lie between 0 and 1; all of it takes for ever.")
        weight = share / (1 - share)
        back, weights = self._quadrature(*DECAY)
        earlier = weight * np.exp(-back)
        here = self._stored(share)
        risen = np.sum(weights * np.exp(-back) * (here - self._stored(earlier / (1 + earlier))), axis=0)
        return self._at_least((here + weight * risen) / self.flow_rate, "s")

    @cached_property
    def half_flow(self) -> Numbers:
        """Time to half of the set flow [s]."""
        return self.time_to(0.5)

    @property
    def lag(self) -> Numbers:
        """Stored volume over flow [s]: the short formula for about half the flow."""
        return self._at_least(self._full / self.flow_rate, "s")

    @cached_property
    def time_constant(self) -> Numbers:
        """Time in which the last of a small disturbance falls by e [s]: C dp/dQ where it runs."""
        slope = self.pressure / (self.extruder.flow_sensitivity(self.law, self.flow_rate) * self.flow_rate)
        return self._at_least(self.compression.tangent(self.pressure) * slope, "s")

    @property
    def steady(self) -> Numbers:
        """Time after which to read a force, or to start a part [s]: the lag and five time constants."""
        return self._at_least(self.lag + 5 * self.time_constant, "s")

    def table(self, shares: Sequence[float] = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99)) -> pd.DataFrame:
        """Return a DataFrame of the start of one case: time [s], pressure [Pa], flow_rate [m3/s], share [-]."""
        rows: list[tuple[Numbers, ...]] = [(0.0, 0.0, 0.0, 0.0)]
        for share, time in ((0.0, self.first_drop), *((share, self.time_to(share)) for share in shares)):
            flow = share * self.flow_rate
            rows.append((time, self.extruder.channel.pressure_drop(self.law, flow), flow, share))
        return pd.DataFrame(np.array(rows, float), columns=["time", "pressure", "flow_rate", "share"])

    @property
    def fill_time(self) -> Numbers:
        """Time in which the flow fills an empty nozzle [s], before anything else begins."""
        return _volume(self.extruder.nozzle) / self.flow_rate

    # --- stop ---------------------------------------------------------------------------------------------------

    @cached_property
    def _full(self):
        return self.compression.stored_volume(self.pressure)

    @property
    def retraction(self) -> Numbers:
        """Volume to draw back for the pressure to be zero, and nothing to ooze [m3]."""
        return self._at_least(self._full, "m3")

    @property
    def ooze_limit(self) -> Numbers:
        """Volume that oozes out in the long run after a stop without drawing back [m3]."""
        held = self.compression.stored_volume(self.extruder.ooze_pressure(self.law))
        return self._at_least(self._full - held, "m3")

    def _time_to_fall(self, fall):
        """Return the time [s] after a stop until ln q has fallen by an amount."""
        position, weights = self._quadrature(*UNIT, fall)
        back, here = fall * position, self._stored(np.exp(-fall))
        later = np.sum(weights * np.exp(-back) * (self._stored(np.exp(back - fall)) - here), axis=0)
        return (self._full - here + fall * np.exp(fall) * later) / self.flow_rate

    @guarded(after="time")
    def ooze(self, after: ArrayLike) -> Numbers:
        """Return the volume [m3] that has oozed out a time [s] after the drive stopped, broadcast over both."""
        if not np.all(np.asarray(after, float) > 0):
            raise DataError(f"Transient.ooze: after = {np.min(after):g} s must be a positive time.")
        shape = np.broadcast_shapes(np.shape(after), np.shape(self._full))
        log_time = np.log(np.broadcast_to(after, shape).astype(float))

        def fall(log_fall):
            return np.exp(np.clip(log_fall, -30.0, LONGEST_FALL))

        def miss(log_fall):
            return np.log(np.maximum(self._time_to_fall(fall(log_fall)), 1e-300)) - log_time

        log_fall = increasing_root(miss, np.zeros(shape), step=0.5, tolerance=1e-9)
        return self._at_least((self._full - self._stored(np.exp(-fall(log_fall))))[()], "m3")


def _volume(nozzle):
    """Return the volume [m3] inside a nozzle."""
    ends = [(s.inlet_diameter, s.outlet_diameter, s.length) for s in nozzle.segments]
    return sum(np.pi / 12 * length * (wide**2 + wide * narrow + narrow**2) for wide, narrow, length in ends)
