"""What gives way between drive and paste, so that pressure stores volume: trapped gas, barrel and plunger.

Gas obeys Boyle's law, isothermal: of a volume V_g at the pressure p_0 of the air a gauge pressure p takes V_g p/(p_0 + p).
"""

from dataclasses import dataclass
from typing import Self

import numpy as np

from ..brief import brief
from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, judged_number, positive, require, settled
from ..units import ATMOSPHERE
from .lower_bound import RIGID

MEASURE_AIR = (
    "Measure it: weigh a cup of known volume, and take 1 - density/density without air; or fill the syringe, seal the tip "
    "and squeeze: the gas takes p/(p_0 + p) of its volume off the fill"
)


@dataclass(frozen=True, kw_only=True, eq=False)
class Compression:
    """What gives way between drive and paste.

    Parameters
    ----------
    gas_volume : float or array-like
        Trapped gas, as it is at the pressure of the air. [m3]
    compliance : float or array-like, optional
        Volume that barrel and plunger give way by per pressure; where it is not given, at least 0. [m3/Pa]
    atmospheric_pressure : float or array-like
        Absolute. [Pa]
    """

    gas_volume: Numbers = 0.0
    compliance: Numbers = RIGID
    atmospheric_pressure: Numbers = ATMOSPHERE

    __repr__ = brief

    def __post_init__(self):
        if self.compliance is None:
            object.__setattr__(self, "compliance", RIGID)
        with settled(self):
            positive("Compression", atmospheric_pressure=self.atmospheric_pressure)

    @classmethod
    def of_paste(
        cls,
        paste_volume: Numbers,
        air_content: Numbers | None,
        compliance: Numbers = RIGID,
        atmospheric_pressure: Numbers = ATMOSPHERE,
    ) -> Self:
        """Return the compression of a volume [m3] of paste by its share of air [-], with a compliance [m3/Pa].

        Raises
        ------
        DataError
            If the air is not known, or no share.
        """
        if air_content is None or np.any(np.not_equal(air_content, air_content)):  # None or NaN
            raise DataError(
                f"Compression: air_content = {air_content}: how much gas the paste holds is not known, and with it neither "
                f"lag nor ooze. {MEASURE_AIR}. 3 % is 0.03."
            )
        air_content = judged_number("Compression", "air_content", air_content, "air_content")
        paste_volume = judged_number("Compression", "paste_volume", paste_volume, "barrel_volume")
        why = "must be below 1: a paste is no gas"
        require("Compression", "air_content", air_content, np.less(air_content, 1), why)
        gas = np.multiply(paste_volume, air_content)
        return cls(gas_volume=gas, compliance=compliance, atmospheric_pressure=atmospheric_pressure)

    @guarded
    def stored_volume(self, pressure: Numbers) -> Numbers:
        """Return the volume [m3] that a gauge pressure [Pa] has stored since it was zero."""
        gas = self.gas_volume * pressure / (self.atmospheric_pressure + pressure)
        return gas + self.compliance * np.asarray(pressure)[()]

    @guarded
    def tangent(self, pressure: Numbers) -> Numbers:
        """Return the compliance of all at a gauge pressure [Pa]: the slope of the stored volume [m3/Pa]."""
        gas = self.gas_volume * self.atmospheric_pressure / (self.atmospheric_pressure + pressure) ** 2
        return gas + self.compliance
