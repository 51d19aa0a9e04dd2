"""Inverted tube: the temperature at which a gel stops to flow as it cools, or starts to as it warms."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from ..checking import Example
from ..machine.cautions import CAUTIONS
from .base import choice, column
from .measured import Property
from .property_test import PropertyTest

COOLING, WARMING = "cooling", "warming"
GIVEN = {COOLING: "gel_temperature", WARMING: "melt_temperature"}
WATER = 273.15, 373.15  # K: between ice and steam, where a bath of water can be


@dataclass(frozen=True, kw_only=True, eq=False)
class InvertedTube(PropertyTest):
    """Temperatures at which a gel in a tilted tube stops to flow, or starts to, at one kelvin a minute.

    Parameters
    ----------
    direction : {"cooling", "warming"}
        Cooling until it no longer flows gives the gel point, warming until it flows again the melting point.
    transition_temperature : array-like, shape (N,)
        In the tube, one for each run. [K]

    Notes
    -----
    What flows in a tube of radius R has a yield stress below ρ g R/2: a tube 12 mm wide stops at about 32 Pa. Cooled or warmed faster a
    gel lags behind; the temperature is known to about 1 K however often it is read.
    """

    kind = "inverted tube"
    reads = "transition_temperature"
    gives = ("gel_temperature", "melt_temperature")
    of_paste = ("water_content", "age")
    serves = ("gel",)
    default_model_error = 0.0033
    usual_scatter = 0.001
    formula = "T_gel or T_m = mean of T"
    source = "common practice, no source; what still flows in a tube has τ_y < ρ g R/2, by a balance of forces"
    example = tuple(
        Example(
            given={"direction": direction, "transition_temperature": (305.6, 306.5, 306.3)},
            expected={name: 306.133333, f"spread of {name}": 0.00195656252},
            source="by hand: 918.4/3; sqrt((0.533333^2 + 0.366667^2 + 0.166667^2)/2)/sqrt(3)*4.3026527/1.9599640 over it",
        )
        for direction, name in GIVEN.items()
    )
    artefacts = (
        "cooled or warmed fast the gel lags behind its thermometer: a kelvin a minute, and the thermometer in the gel",
        "a skin holds what is liquid below it: cover the tube, or a drop of oil on top",
        "a gel that was held hot for hours sets colder: note how long",
    )
    tools = ("test tube", "thermometer", "water bath", "timer")
    usual: ClassVar[dict] = {"direction": COOLING}
    usual_readings = (298.15, 313.15)
    protocol = (
        "Fill a test tube with hot gel, put a thermometer in it, close it, and let the water bath cool by one kelvin a minute. Tilt it every half "
        "minute: the gel point is where its surface no longer moves in ten seconds. Let it set through, warm it as slowly, and note as another "
        "test, of the direction warming, where it flows again. Make three runs of each."
    )
    caution = f"Stopper the tube loosely, and never heat it closed. {CAUTIONS['hot gel']}"

    direction: str = choice(COOLING, WARMING, default=COOLING)
    transition_temperature: np.ndarray = column()

    def faults(self) -> list[str]:  # noqa: D102
        wrong = (self.transition_temperature < WATER[0]) | (self.transition_temperature > WATER[1])
        if not wrong.any():
            return []
        found = float(self.transition_temperature[wrong][0])
        return [
            f"transition_temperature = {found:g} K in {self.rows_where(wrong)} is none of a bath of water; check its unit"
        ]

    def properties(self) -> dict[str, Property]:
        """Return the gel point or the melting point [K]."""
        return {GIVEN[self.direction]: self.settled(lambda temperature: temperature, of=f" while {self.direction}")}
