"""Walls and rings that lean: elastic buckling under their own weight."""

import numpy as np
from numpy.typing import ArrayLike

from ...hints import Numbers
from ...inputs import guarded, positive, require
from ...units import STANDARD_GRAVITY as GRAVITY

GREENHILL = 9 / 4 * 1.8663508590**2
"""Greatest ρ g A H³/(E I) of a column clamped at its foot: 7.837347 [-]; 1.866... is the first zero of J_-1/3."""

INCOMPRESSIBLE_WIDE = 0.75
"""1 - ν² of an incompressible solid: a wide plate is stiffer by its inverse than a narrow beam [-]."""

SHELL = 2 / 3
"""1/√(3(1 - ν²)), the classical buckling stress of an incompressible tube over E w/R [-]."""


@guarded
def wall_buckling_height(modulus: Numbers, wall_width: Numbers, density: Numbers, *, long: bool = False) -> Numbers:
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
def ring_buckling_height(
    modulus: Numbers, wall_width: Numbers, radius: Numbers, density: Numbers, *, knock_down: Numbers = 0.3
) -> Numbers:
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
        "fills the whole ring; the radius of the ring is that of the middle of the wall",
    )
    specific = np.divide(modulus, np.multiply(density, GRAVITY))
    shell = SHELL * np.multiply(knock_down, specific) * wall_width / radius
    wall = np.cbrt(GREENHILL / 12 * specific * np.square(wall_width))
    column = np.cbrt(GREENHILL / 2 * specific * np.square(radius))
    return np.minimum(np.maximum(shell, wall), column)


@guarded
def effective_modulus(
    lean_height: ArrayLike, wall_width: ArrayLike, density: ArrayLike, *, long: bool = False
) -> Numbers:
    """Return the modulus [Pa] with which `wall_buckling_height` gives the height [m] at which a test wall leaned.

    It holds for a wall of that width [m] and density [kg/m3], and has the lean factor in it already: never use both.
    """
    positive("effective_modulus", lean_height=lean_height, wall_width=wall_width, density=density)
    cube = 12 * GRAVITY / GREENHILL * np.multiply(density, np.power(lean_height, 3))
    return cube / np.square(wall_width) * (INCOMPRESSIBLE_WIDE if long else 1.0)
