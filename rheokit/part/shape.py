"""What becomes of a fresh line, wall and bridge under their own weight.

Every function takes floats or arrays that broadcast and returns the same. Yield stresses are static ones in simple
shear, after the actual rest; a uniaxial state yields at √3 of it (von Mises).
"""

import numpy as np

from ..inputs import guarded, not_negative, positive, require
from ..laws.criterion import UNIAXIAL
from ..units import STANDARD_GRAVITY as GRAVITY

GREENHILL = 9 / 4 * 1.8663508590**2
"""Greatest ρ g A H³/(E I) of a column clamped at its foot: 7.837347 [-]; 1.866... is the first zero of J_-1/3."""

INCOMPRESSIBLE_WIDE = 0.75
"""1 - ν² of an incompressible solid: a wide plate is stiffer by its inverse than a narrow beam [-]."""

SHELL = 2 / 3
"""1/√(3(1 - ν²)), the classical buckling stress of an incompressible tube over E w/R [-]."""

SPAN_STIFFNESS = 1.4
"""Least G/(ρ g D (L/D)⁴) of a bridge that sags by less than D/20 [-]; the beam gives 25/18 = 1.389."""

KOZENY_CARMAN = 180.0
"""Kozeny-Carman constant of a packed bed [-]."""


# --- the section of a line ------------------------------------------------------------------------------------------


@guarded
def line_section(width, height):
    """Return the section [m2] of a line with flat top and foot and round sides (a stadium): (w - h) h + π h²/4.

    Width [m] over all, and height [m] of the layer.
    """
    not_negative("line_section", width=width, height=height)
    return (width - np.asarray(height, float)) * height + np.pi * np.square(height) / 4


@guarded
def line_width(section, height):
    """Return the width [m] of a line of a section [m2], laid at a height [m]: the inverse of `line_section`.

    A/h + h (1 - π/4), by mass balance; narrower than the height where the flow is too small to fill a round line.
    """
    positive("line_width", height=height)
    not_negative("line_width", section=section)
    return np.divide(section, height) + np.multiply(height, 1 - np.pi / 4)


@guarded
def width_of_flow(flow_rate, print_speed, height):
    """Return the width [m] of the line that a flow [m3/s] lays at a print speed [m/s] and a layer height [m]."""
    positive("width_of_flow", print_speed=print_speed)
    not_negative("width_of_flow", flow_rate=flow_rate)
    return line_width(np.divide(flow_rate, print_speed), height)


@guarded
def speed_ratio(section, diameter):
    """Return the mean speed in the bore over the print speed [-], from the line's section [m2] and the bore [m].

    4 A/(π D²), by mass balance: it follows from the line and cannot be chosen as well.
    """
    positive("speed_ratio", diameter=diameter)
    not_negative("speed_ratio", section=section)
    return np.multiply(4 / np.pi, section) / np.square(diameter)


@guarded
def sag_stress(density, height):
    """Return the least static yield stress [Pa] that carries a layer of a density [kg/m3] and height [m]: ρ g h/√3."""
    not_negative("sag_stress", density=density, height=height)
    return np.multiply(density, height) * (GRAVITY / UNIAXIAL)


@guarded
def line_holding_stress(height, width, density, surface_tension):
    """Return the least static yield stress with which a fresh line keeps its section.

    Parameters
    ----------
    height, width : float or array-like
        Of the line. [m]
    density : float or array-like
        [kg/m3]
    surface_tension : float or array-like
        About 0.05 for wet pastes; 0 leaves it out. [N/m]

    Returns
    -------
    static_yield_stress : float or ndarray
        The greater of ρ g h/√3 and γ/w. [Pa]

    Notes
    -----
    The weight term is von Mises in uniaxial compression. The capillary term is an order of magnitude, within a factor
    of 2 (from memory: the pressure of a rounded line of that width). It governs thin soft lines.
    """
    positive("line_holding_stress", width=width)
    not_negative("line_holding_stress", surface_tension=surface_tension)
    return np.maximum(sag_stress(density, height), np.divide(surface_tension, width))


# --- a stack --------------------------------------------------------------------------------------------------------


@guarded
def plastic_height(
    static_yield_stress, density, *, build_up_rate=0.0, build_up_time=0.0, rise_speed=np.inf, stack_factor=UNIAXIAL
):
    """Return the height at which the lowest layer yields under what stands on it.

    Parameters
    ----------
    static_yield_stress : float or array-like
        When the layer is laid. [Pa]
    density : float or array-like
        [kg/m3]
    build_up_rate : float or array-like
        Growth of the static yield stress at rest. [Pa/s]
    build_up_time : float or array-like
        Longest rest over which that growth was measured: no strength is counted beyond it. [s]
    rise_speed : float or array-like
        At which the part grows; infinite: all at once, without ageing. [m/s]
    stack_factor : float or array-like
        √3 for rings and columns, 2 for a long straight wall. [-]

    Returns
    -------
    height : float or ndarray
        Always finite. [m]

    Notes
    -----
    ρ g H ≤ k (τ_ys + A min(H/v, t_b)): load and strength at the age of the foot. Below its yield stress a paste still
    creeps, so a tall part may sag later. Roussel, Cement and Concrete Research 112 (2018) 76 (from memory), with a
    saturation.
    """
    not_negative(
        "plastic_height",
        static_yield_stress=static_yield_stress,
        build_up_rate=build_up_rate,
        build_up_time=build_up_time,
    )
    positive("plastic_height", density=density, stack_factor=stack_factor)
    require("plastic_height", "rise_speed", rise_speed, np.greater(rise_speed, 0), "must be above 0; inf: all at once")
    weight = np.multiply(density, GRAVITY / np.asarray(stack_factor, float))
    at_rest = np.divide(np.add(static_yield_stress, np.multiply(build_up_rate, build_up_time)), weight)
    excess = weight - np.divide(build_up_rate, rise_speed)  # load of a metre more, less its growth
    growing = np.where(excess > 0, static_yield_stress / np.where(excess > 0, excess, 1.0), np.inf)
    return np.minimum(growing, at_rest)[()]


@guarded(endless=("height",))
def greatest_rise_speed(
    height, static_yield_stress, density, *, build_up_rate, build_up_time=np.inf, stack_factor=UNIAXIAL
):
    """Return the greatest speed [m/s] at which a part may grow to a height [m] without its foot yielding.

    The other side of `plastic_height`, with its arguments: infinite where no ageing is needed, 0 where no speed will
    do. Of an infinite height with strength that grows for ever it is the speed below which strength outruns the load.
    """
    not_negative("greatest_rise_speed", static_yield_stress=static_yield_stress, build_up_rate=build_up_rate)
    positive("greatest_rise_speed", density=density, stack_factor=stack_factor)
    require("greatest_rise_speed", "height", height, np.greater(height, 0), "must be above 0")
    lasts = np.greater_equal(build_up_time, 0)
    require("greatest_rise_speed", "build_up_time", build_up_time, lasts, "must not be negative; inf: it never ends")
    weight = np.multiply(density, GRAVITY / np.asarray(stack_factor, float))
    missing = weight - np.divide(static_yield_stress, height)
    speed = np.where(missing > 0, build_up_rate / np.where(missing > 0, missing, 1.0), np.inf)
    with np.errstate(invalid="ignore"):
        grown = np.where(np.equal(build_up_rate, 0), 0.0, np.multiply(build_up_rate, build_up_time))
    enough = np.add(static_yield_stress, grown) >= np.multiply(weight, height)
    return np.where(enough | np.isinf(grown), speed, 0.0)[()]


# --- leaning --------------------------------------------------------------------------------------------------------


@guarded
def wall_buckling_height(modulus, wall_width, density, *, long=False):
    """Return the height at which a straight free wall buckles under its own weight.

    Parameters
    ----------
    modulus : float or array-like
        Young's modulus at small strain, three times the shear modulus. [Pa]
    wall_width : float or array-like
        [m]
    density : float or array-like
        [kg/m3]
    long : bool
        True for a wall much longer than high, which cannot bend crosswise: 10 % higher.

    Returns
    -------
    height : float or ndarray
        (7.8373 E w²/(12 ρ g))^(1/3), of an ideal wall; real ones lean at 0.6 to 1.0 of it (common practice, no
        source). [m]

    Notes
    -----
    A. G. Greenhill, Proc. Cambridge Phil. Soc. 4 (1881) 65 (from memory): a uniform column clamped at its foot.

    Examples
    --------
    A wall 2 mm thick of an invented paste:

    >>> float(1e3 * wall_buckling_height(25e3, 2e-3, 1110.0))  # mm
    18.17
    """
    positive("wall_buckling_height", modulus=modulus, wall_width=wall_width, density=density)
    stiffness = np.multiply(modulus, 1 / INCOMPRESSIBLE_WIDE if long else 1.0)
    return np.cbrt(GREENHILL / 12 / GRAVITY * stiffness * np.square(wall_width) / density)


@guarded
def ring_buckling_height(modulus, wall_width, radius, density, *, knock_down=0.3):
    """Return the height at which a closed ring buckles under its own weight.

    Parameters
    ----------
    modulus : float or array-like
        Young's modulus at small strain. [Pa]
    wall_width : float or array-like
        Thin against the radius. [m]
    radius : float or array-like
        Of the middle of the wall. [m]
    density : float or array-like
        [kg/m3]
    knock_down : float or array-like
        Share of the ideal shell's stress that a real one bears, 0.2 to 0.5 (from memory, of thin shells). [-]

    Returns
    -------
    height : float or ndarray
        Of the shell, not less than the straight wall, not more than the tube as a column. [m]

    Notes
    -----
    Shell: k (2/3) E w/(R ρ g), the classical stress of an axially loaded incompressible tube at its foot (from memory,
    Timoshenko and Gere). Column: Greenhill with I/A = R²/2.
    """
    positive("ring_buckling_height", modulus=modulus, wall_width=wall_width, radius=radius, density=density)
    positive("ring_buckling_height", knock_down=knock_down)
    require(
        "ring_buckling_height",
        "wall_width",
        wall_width,
        np.less(wall_width, np.multiply(2.0, radius)),
        "fills the whole ring; the radius is that of the middle of the wall",
    )
    specific = np.divide(modulus, np.multiply(density, GRAVITY))
    shell = SHELL * np.multiply(knock_down, specific) * wall_width / radius
    wall = np.cbrt(GREENHILL / 12 * specific * np.square(wall_width))
    column = np.cbrt(GREENHILL / 2 * specific * np.square(radius))
    return np.minimum(np.maximum(shell, wall), column)


@guarded
def effective_modulus(lean_height, wall_width, density, *, long=False):
    """Return the modulus [Pa] with which `wall_buckling_height` gives the height [m] at which a test wall leaned.

    It holds for a wall of that width [m] and density [kg/m3], and has the lean factor in it already: never use both.
    """
    positive("effective_modulus", lean_height=lean_height, wall_width=wall_width, density=density)
    cube = 12 * GRAVITY / GREENHILL * np.multiply(density, np.power(lean_height, 3))
    return cube / np.square(wall_width) * (INCOMPRESSIBLE_WIDE if long else 1.0)


# --- bridges --------------------------------------------------------------------------------------------------------


@guarded
def stiff_span(modulus, density, diameter):
    """Return the span [m] over which a line sags by a twentieth of its diameter.

    L = D (E/(3 · 1.4 ρ g D))^(1/4), from Young's modulus [Pa], density [kg/m3] and diameter [m]. Smay, Cesarano and
    Lewis, Langmuir 18 (2002) 5429 (from memory): G ≥ 1.4 ρ g s⁴ D; a simply supported beam with E = 3 G gives 1.389.
    """
    positive("stiff_span", modulus=modulus, density=density, diameter=diameter)
    return diameter * np.power(np.divide(modulus, 3 * SPAN_STIFFNESS * GRAVITY * np.multiply(density, diameter)), 0.25)


@guarded
def strong_span(static_yield_stress, density, diameter):
    """Return the span [m] at which a line first yields by bending.

    L = (√3 τ_ys D/(ρ g))^(1/2), from static yield stress [Pa], density [kg/m3] and diameter [m]: the outer fibre of a
    simply supported round beam under its own weight, M = ρ g A L²/8 against σ π D³/32.
    """
    not_negative("strong_span", static_yield_stress=static_yield_stress)
    positive("strong_span", density=density, diameter=diameter)
    return np.sqrt(UNIAXIAL / GRAVITY * np.multiply(static_yield_stress, diameter) / density)


@guarded
def greatest_span(modulus, static_yield_stress, density, diameter):
    """Return the longest bridge that a line spans between two supports.

    Parameters
    ----------
    modulus : float or array-like
        Young's modulus, three times the shear modulus. [Pa]
    static_yield_stress : float or array-like
        [Pa]
    density : float or array-like
        [kg/m3]
    diameter : float or array-like
        Of the line, about that of the bore. [m]

    Returns
    -------
    span : float or ndarray
        The smaller of `stiff_span` and `strong_span`; how far the paste stretches before it tears is not judged. [m]
    """
    return np.minimum(stiff_span(modulus, density, diameter), strong_span(static_yield_stress, density, diameter))


# --- skins and drainage ---------------------------------------------------------------------------------------------


@guarded
def skin_time(diffusivity, skin_loss, dry_density, drying_flux):
    """Return the time after which the next layer no longer sticks.

    Parameters
    ----------
    diffusivity : float or array-like
        Of moisture in the paste, 1e-10 to 1e-9. [m2/s]
    skin_loss : float or array-like
        Fall of the water content at the surface that ends adhesion, from a touch test. [-]
    dry_density : float or array-like
        Dry mass over wet volume. [kg/m3]
    drying_flux : float or array-like
        Water lost from the surface. [kg/(m2 s)]

    Returns
    -------
    time : float or ndarray
        π D (Δu ρ_d/(2 j))²; infinite without drying. [s]

    Notes
    -----
    Constant flux from a half-space, whose surface falls by 2 (j/ρ_d) (t/(π D))^(1/2) (J. Crank, The Mathematics of
    Diffusion, from memory). Good while the dried skin is thin against the wall.
    """
    positive("skin_time", diffusivity=diffusivity, skin_loss=skin_loss, dry_density=dry_density)
    not_negative("skin_time", drying_flux=drying_flux)
    with np.errstate(divide="ignore"):
        return np.pi * diffusivity * np.square(np.multiply(skin_loss, dry_density) / np.multiply(2.0, drying_flux))


@guarded
def drainage_speed(porosity, grain_diameter, liquid_viscosity, pressure, length):
    """Return the speed at which the liquid runs through the grains ahead of them.

    Parameters
    ----------
    porosity : float or array-like
        Volume share of liquid (not the void ratio of soil mechanics). [-]
    grain_diameter : float or array-like
        Surface-mean diameter, d_32. [m]
    liquid_viscosity : float or array-like
        Of the liquid between the grains, at low rate. [Pa·s]
    pressure : float or array-like
        Lost by the liquid; the whole pressure is its upper bound. [Pa]
    length : float or array-like
        Of the paste. [m]

    Returns
    -------
    speed : float or ndarray
        (k/μ) Δp/L with k = ε³ d²/(180 (1 - ε)²), Darcy and Kozeny-Carman (from memory); an order of magnitude, within
        a factor of 5. [m/s]
    """
    positive("drainage_speed", porosity=porosity, grain_diameter=grain_diameter, liquid_viscosity=liquid_viscosity)
    positive("drainage_speed", length=length)
    not_negative("drainage_speed", pressure=pressure)
    require("drainage_speed", "porosity", porosity, np.less(porosity, 1), "must be below 1: a paste has grains")
    solid = np.subtract(1.0, porosity)
    permeability = np.power(porosity, 3) * np.square(grain_diameter) / (KOZENY_CARMAN * np.square(solid))
    return permeability * np.divide(pressure, np.multiply(liquid_viscosity, length))
