"""Heat in barrel and needle: what leaves the nozzle, how fast a bare needle cools, how long a barrel soaks."""

import numpy as np

from ..errors import DataError
from ..hints import Numbers
from ..inputs import guarded, positive, require, share
from ..nomenclature import written
from ..part.drying.diffusion import cylinder_fourier, cylinder_uptake

PARABOLIC_RATES = np.array(
    [3.65679346, 22.3047306, 56.9605154, 107.620272, 174.282058, 256.945030, 355.608766, 470.273028]
)
PARABOLIC_SHARES = np.array(
    [0.819050421, 0.0975269269, 0.0325039938, 0.0154401563, 0.00878849362, 0.00558384905, 0.00382017764, 0.00275637506]
)
"""Eigenvalues and weights of heat in a parabolic flow [-]; the first eigenvalue is the Nusselt number, OEIS A282581."""
SHORT = 0.003  # Graetz length below which the series for short lengths is the better one
STILL_AIR = 25.0
"""Heat transfer of a bare needle in still air, 15 to 40 [W/(m2 K)]: natural convection 22 and radiation 2 at 1.3 mm (from memory)."""
STEEL = 3.95e6
"""Heat of a needle of stainless steel by volume [J/(m3 K)]; from memory."""


@guarded
def graetz_length(*, length: Numbers, flow_rate: Numbers, thermal_diffusivity: Numbers) -> Numbers:
    """Return the length of a nozzle over what heat needs to cross its flow.

    Parameters
    ----------
    length : float or array-like
        Of the nozzle. [m]
    flow_rate : float or array-like
        [m3/s]
    thermal_diffusivity : float or array-like
        Of the paste; water 1.4e-7. [m2/s]

    Returns
    -------
    graetz_length : float or ndarray
        x* = π a L/(4 Q) = a L/(U D²): the bore drops out. [-]
    """
    positive("graetz_length", length=length, flow_rate=flow_rate, thermal_diffusivity=thermal_diffusivity)
    return np.pi / 4 * np.multiply(thermal_diffusivity, length) / flow_rate


@guarded
def temperature_left(graetz_length: Numbers, profile: str = "parabolic") -> Numbers:
    """Return how much of the difference to the wall a flow still has at the end of a nozzle.

    Parameters
    ----------
    graetz_length : float or array-like
        As `graetz_length` gives it. [-]
    profile : str
        Of the velocity: "parabolic", of a Newtonian liquid, which is slow to follow (a thinner law is quicker: its first
        eigenvalue is 3.949 at n = 0.5), or "plug", of a paste with a yield stress.

    Returns
    -------
    temperature_left : float or ndarray
        Mean over the flow, (T - T_wall)/(T_inlet - T_wall). [-]

    Notes
    -----
    Σ B_k exp(-4 μ_k x*) in a developed laminar flow with its wall at one temperature, heat along the flow left out
    (Graetz 1883, from memory; μ and B computed for this table, good to 2e-6); below x* = 0.003 the series for short
    lengths, 1 - 6.4592 x*^(2/3) + 4.7616 x* + 1.4852 x*^(4/3). A plug takes heat as a cylinder at rest does
    (`drying.cylinder_uptake`).
    """
    along = np.asarray(graetz_length, float)
    require("temperature_left", "graetz_length", along, along >= 0, "must not be negative")
    if profile == "plug":
        return 1 - cylinder_uptake(4 * along)
    if profile != "parabolic":
        raise DataError(f'temperature_left: profile = {profile!r} is none; give "parabolic" or "plug".')
    far = np.exp(-4 * PARABOLIC_RATES * np.maximum(along, SHORT)[..., None]) @ PARABOLIC_SHARES
    root = np.cbrt(np.minimum(along, SHORT))
    near = 1 - 6.4592 * root**2 + 4.7616 * root**3 + 1.4852 * root**4
    return np.where(along < SHORT, near, far)[()]


@guarded(inlet="temperature", wall="temperature")
def outlet_temperature(
    inlet: Numbers,
    wall: Numbers,
    *,
    length: Numbers,
    flow_rate: Numbers,
    thermal_diffusivity: Numbers,
    profile: str = "parabolic",
) -> Numbers:
    """Return the temperature at which a paste leaves a nozzle whose wall is heated or cooled.

    Parameters
    ----------
    inlet, wall : float or array-like
        Of the paste in the barrel, and of the wall of the nozzle. [K]
    length : float or array-like
        Of the nozzle. [m]
    flow_rate : float or array-like
        [m3/s]
    thermal_diffusivity : float or array-like
        Of the paste. [m2/s]
    profile : str
        "parabolic" or "plug", see `temperature_left`.

    Returns
    -------
    temperature : float or ndarray
        Mean over the flow. [K]

    Notes
    -----
    T_w + (T_i - T_w) left(x*), with `temperature_left`.
    """
    along = graetz_length(length=length, flow_rate=flow_rate, thermal_diffusivity=thermal_diffusivity)
    return np.add(wall, np.subtract(inlet, wall) * temperature_left(along, profile))


@guarded(inlet="temperature", air="air_temperature", outer_diameter="needle_outer_diameter")
def air_cooled_outlet(
    inlet: Numbers,
    air: Numbers,
    *,
    outer_diameter: Numbers,
    length: Numbers,
    flow_rate: Numbers,
    volumetric_heat: Numbers,
    heat_transfer: Numbers = STILL_AIR,
) -> Numbers:
    """Return the temperature at which a paste leaves a bare needle in air while it flows.

    Parameters
    ----------
    inlet, air : float or array-like
        Of the paste in the barrel, and of the air. [K]
    outer_diameter, length : float or array-like
        Of the needle. [m]
    flow_rate : float or array-like
        [m3/s]
    volumetric_heat : float or array-like
        Density times heat capacity of the paste. [J/(m3 K)]
    heat_transfer : float or array-like
        15 to 40 in still air. [W/(m2 K)]

    Returns
    -------
    temperature : float or ndarray
        T_a + (T_i - T_a) exp(-h π d_o L/(ρ c Q)): the air is what holds the heat back. [K]
    """
    known_as = {"outer_diameter": "needle_outer_diameter"}
    positive("air_cooled_outlet", known_as, outer_diameter=outer_diameter, length=length, flow_rate=flow_rate)
    positive("air_cooled_outlet", volumetric_heat=volumetric_heat, heat_transfer=heat_transfer)
    carried = np.multiply(volumetric_heat, flow_rate)
    lost = np.pi * np.multiply(heat_transfer, outer_diameter) * length
    return np.add(air, np.subtract(inlet, air) * np.exp(-lost / carried))


@guarded(outer_diameter="needle_outer_diameter")
def needle_time_constant(
    *,
    bore: Numbers,
    outer_diameter: Numbers,
    volumetric_heat: Numbers,
    wall_heat: Numbers = STEEL,
    heat_transfer: Numbers = STILL_AIR,
) -> Numbers:
    """Return the time constant with which a full bare needle cools in air when the flow pauses.

    Parameters
    ----------
    bore, outer_diameter : float or array-like
        Of the needle. [m]
    volumetric_heat, wall_heat : float or array-like
        Density times heat capacity, of the paste and of the wall. [J/(m3 K)]
    heat_transfer : float or array-like
        15 to 40 in still air. [W/(m2 K)]

    Returns
    -------
    thermal_time_constant : float or ndarray
        [ρ c π D²/4 + ρ_w c_w π (d_o² - D²)/4]/(h π d_o), farther than a fin length (about 11 mm) from a warm hub. [s]
    """
    positive("needle_time_constant", bore=bore, volumetric_heat=volumetric_heat, wall_heat=wall_heat)
    positive("needle_time_constant", heat_transfer=heat_transfer)
    wide = np.asarray(outer_diameter, float)
    if np.any(wide <= bore):
        wall = f"outer_diameter = {written(np.min(wide), 'm', 4)} is not above the bore of the needle, {written(np.max(bore), 'm', 4)}"
        raise DataError(f"needle_time_constant: {wall}; measure it outside, or check the unit of either.")
    held = volumetric_heat * np.square(bore) + wall_heat * (wide**2 - np.square(bore))
    return held / (4 * heat_transfer * wide)


@guarded(start="temperature", air="air_temperature", to="temperature", time_constant="thermal_time_constant")
def time_to_cool(start: Numbers, air: Numbers, to: Numbers, *, time_constant: Numbers) -> Numbers:
    """Return how long it takes to cool in air to a temperature.

    Parameters
    ----------
    start, air, to : float or array-like
        Temperatures at the start, of the air, and asked for. [K]
    time_constant : float or array-like
        As `needle_time_constant` gives it. [s]

    Returns
    -------
    time : float or ndarray
        τ ln[(T_0 - T_a)/(T - T_a)]; 0 where it is as cool from the start, infinite where it never is. [s]
    """
    positive("time_to_cool", thermal_time_constant=time_constant)
    start, air, to = (np.asarray(one, float) for one in (start, air, to))
    above, left = np.maximum(start - air, 0.0), to - air
    with np.errstate(divide="ignore", invalid="ignore"):
        cooling = time_constant * np.log(above / left)
    return np.where(to >= start, 0.0, np.where(left <= 0, np.inf, cooling))[()]


@guarded(left="remaining", diameter="barrel_diameter")
def soak_time(*, diameter: Numbers, thermal_diffusivity: Numbers, left: Numbers = 0.05) -> Numbers:
    """Return how long to wait after a heated barrel was filled.

    Parameters
    ----------
    diameter : float or array-like
        Bore of the barrel. [m]
    thermal_diffusivity : float or array-like
        Of the paste. [m2/s]
    left : float or array-like
        Share of the difference to the wall that may be left, mean over the section. [-]

    Returns
    -------
    time : float or ndarray
        The Fourier number of a cylinder at rest, times the square of the radius over the diffusivity. [s]
    """
    positive("soak_time", barrel_diameter=diameter, thermal_diffusivity=thermal_diffusivity)
    share("soak_time", remaining=left)
    return cylinder_fourier(np.subtract(1.0, left)) * np.square(diameter) / 4 / thermal_diffusivity
