"""Lines, stacks, walls and bridges: exact limits, hand calculations, and what is refused."""

import numpy as np
import pytest

from rheokit.errors import DataError
from rheokit.laws.criterion import PLANE_STRAIN, UNIAXIAL
from rheokit.part.shape import (
    drainage_speed,
    effective_modulus,
    greatest_rise_speed,
    greatest_span,
    line_holding_stress,
    line_section,
    line_width,
    plastic_height,
    ring_buckling_height,
    sag_stress,
    skin_time,
    speed_ratio,
    stiff_span,
    strong_span,
    wall_buckling_height,
    width_of_flow,
)
from rheokit.units import STANDARD_GRAVITY as GRAVITY
from rheokit.units import kPa, minute, mm

pytestmark = pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")  # unit walls and other mathematics

DRAWS, MAP = (5, 1, 1), (1, 3, 4)


# --- line ---


def test_a_round_line_is_a_circle():
    """Exact: as wide as high, the section is that of a circle."""
    assert line_section(2 * mm, 2 * mm) == pytest.approx(np.pi * (2 * mm) ** 2 / 4)


def test_section_is_a_rectangle_with_two_half_circles():
    """Exact, counted on a grid of points."""
    width, height = 3.0, 1.3
    x, y = np.meshgrid(np.linspace(-width / 2, width / 2, 1501), np.linspace(-height / 2, height / 2, 651))
    beside = np.maximum(np.abs(x) - (width - height) / 2, 0)
    inside = np.mean(beside**2 + y**2 <= (height / 2) ** 2) * width * height
    assert line_section(width, height) == pytest.approx(inside, rel=2e-3)


def test_width_undoes_section():
    widths = np.linspace(1, 4, 7) * mm
    assert line_width(line_section(widths, 0.9 * mm), 0.9 * mm) == pytest.approx(widths)


def test_flow_lays_the_width_it_fills():
    """By hand: 1.9 x 0.9 mm is (1.0 x 0.9 + 0.6362) mm2; at 15 mm/s that is 23.04 mm3/s."""
    assert width_of_flow(23.0426 * mm**3, 15 * mm, 0.9 * mm) == pytest.approx(1.9 * mm, rel=1e-5)


def test_speed_ratio_of_a_round_line_of_the_bore_is_one():
    assert speed_ratio(line_section(1.6 * mm, 1.6 * mm), 1.6 * mm) == pytest.approx(1)


def test_speed_ratios_of_five_nozzles():
    """By hand: print speed over bore speed, π D²/4A, for five lines under five bores."""
    bores, heights, widths = (
        np.array([[0.8, 1.2, 1.6, 2.4, 3.0], [0.5, 0.7, 0.9, 1.3, 1.6], [1.0, 1.4, 1.9, 2.8, 3.5]]) * mm
    )
    ratios = 1 / speed_ratio(line_section(widths, heights), bores)
    assert ratios == pytest.approx([1.13, 1.29, 1.31, 1.38, 1.40], abs=5e-3)


def test_gravity_or_surface_holds_a_line_whichever_asks_more():
    """By hand: 2 mm of 1200 kg/m3 is 13.6 Pa; 0.05 N/m over 1.5 mm is 33.3 Pa."""
    assert sag_stress(1200.0, 2 * mm) == pytest.approx(13.59, abs=5e-3)
    assert line_holding_stress(2 * mm, 1.5 * mm, 1200.0, 0.05) == pytest.approx(33.33, abs=5e-3)
    assert line_holding_stress(2 * mm, 1.5 * mm, 1200.0, 0.0) == pytest.approx(13.59, abs=5e-3)


# --- stack ---


def test_plastic_heights_of_the_demonstration_pastes():
    """By hand, √3 τ/(ρ g): 103, 127 and (factor 2) 147 mm of olive-stone paste, 240 and 301 mm of soft body."""
    heights = plastic_height(np.array([650.0, 800.0]), 1110.0)
    assert heights == pytest.approx([103 * mm, 127 * mm], abs=0.5 * mm)
    assert plastic_height(800.0, 1110.0, stack_factor=PLANE_STRAIN) == pytest.approx(147 * mm, abs=0.5 * mm)
    assert plastic_height(np.array([2400.0, 3000.0]), 1762.0) == pytest.approx([240 * mm, 301 * mm], abs=0.51 * mm)


@pytest.mark.parametrize("rise", [2e-6, 1.5e-5, 2.5e-5, 4e-5, 1e-3, np.inf])
@pytest.mark.parametrize("longest", [0.0, 300.0, 5000.0])
def test_plastic_height_by_stacking_thin_layers(rise, longest):
    """Independent: layers of 10 um are laid until the foot, at its age, no longer bears them."""
    stress, density, rate = 400.0, 1110.0, 0.15
    height = 1e-5 * np.arange(1, 400_000)
    strength = stress + rate * np.minimum(height / rise, longest)
    held = density * GRAVITY * height <= UNIAXIAL * strength
    found = plastic_height(
        stress, density, build_up_rate=rate, build_up_time=longest, rise_speed=rise, stack_factor=UNIAXIAL
    )
    assert found == pytest.approx(height[np.argmin(held)], abs=2e-5)


def test_a_stack_always_has_an_end():
    """Strength that outruns the load is counted only as far as it was measured."""
    slow = plastic_height(800.0, 1110.0, build_up_rate=1.0, build_up_time=600.0, rise_speed=1e-9)
    assert slow == pytest.approx(UNIAXIAL * 1400 / (1110 * GRAVITY))


def test_speed_below_which_strength_outruns_load():
    """By hand, √3 A/(ρ g): 0.15 Pa/s is 1.4 mm/min, 1 Pa/s is 9.5 mm/min."""
    speed = greatest_rise_speed(np.inf, 800.0, 1110.0, build_up_rate=np.array([0.15, 1.0]))
    assert speed == pytest.approx(np.array([1.43, 9.54]) * mm / minute, rel=5e-3)


@pytest.mark.parametrize("height", [0.13, 0.2, 0.4])
def test_rise_speed_is_the_other_side_of_the_height(height):
    ageing = dict(build_up_rate=0.5, build_up_time=4000.0)
    speed = greatest_rise_speed(height, 800.0, 1110.0, **ageing)
    assert plastic_height(800.0, 1110.0, rise_speed=speed, **ageing) == pytest.approx(height)


def test_rise_speed_is_any_or_none():
    ageing = dict(build_up_rate=0.1, build_up_time=100.0)
    assert greatest_rise_speed(np.array([0.05, 0.5]), 800.0, 1110.0, **ageing).tolist() == [np.inf, 0.0]


# --- leaning ---


def test_walls_and_rings_of_the_demonstration_pastes():
    """By hand: wall 18 mm and 30 mm; ring of 25 mm 37 mm; ring of 30 mm 194 mm, 332 mm as a column."""
    assert wall_buckling_height(25 * kPa, 2 * mm, 1110.0) == pytest.approx(18.17 * mm, abs=5e-3 * mm)
    assert wall_buckling_height(180 * kPa, 2 * mm, 1762.0) == pytest.approx(30.08 * mm, abs=5e-3 * mm)
    knock_downs = np.array([0.2, 0.3, 0.5])
    small = ring_buckling_height(25 * kPa, 2 * mm, 25 * mm, 1110.0, knock_down=knock_downs)
    assert small == pytest.approx(np.array([24.49, 36.73, 61.22]) * mm, abs=6e-3 * mm)
    large = ring_buckling_height(180 * kPa, 2.8 * mm, 30 * mm, 1762.0, knock_down=knock_downs)
    assert large == pytest.approx(np.array([129.6, 194.4, 324.0]) * mm, abs=0.06 * mm)
    column = ring_buckling_height(180 * kPa, 2.8 * mm, 30 * mm, 1762.0, knock_down=9.0)
    assert column == pytest.approx(332.4 * mm, abs=0.06 * mm)


def test_twice_as_thick_stands_one_point_six_times_as_high():
    heights = wall_buckling_height(25 * kPa, np.array([2, 4]) * mm, 1110.0)
    assert heights[1] / heights[0] == pytest.approx(4 ** (1 / 3))


def test_a_long_wall_stands_a_tenth_higher():
    long, short = (wall_buckling_height(25 * kPa, 2 * mm, 1110.0, long=answer) for answer in (True, False))
    assert long / short == pytest.approx(0.75 ** (-1 / 3))


def test_a_wide_ring_is_a_straight_wall():
    wall = wall_buckling_height(25 * kPa, 2 * mm, 1110.0)
    assert ring_buckling_height(25 * kPa, 2 * mm, 10.0, 1110.0) == pytest.approx(wall)


def test_a_straight_wall_buckles_before_it_yields_below_27_mm():
    """By hand: 7.837 E w²/12 ρ g = (√3 650/ρ g)³ at w = 27 mm."""
    plastic = plastic_height(650.0, 1110.0)
    widths = np.array([27, 27.3]) * mm
    assert (wall_buckling_height(25 * kPa, widths, 1110.0) < plastic).tolist() == [True, False]


@pytest.mark.parametrize("long", [False, True])
def test_modulus_from_a_lean_gives_the_lean(long):
    modulus = effective_modulus(14.5 * mm, 2 * mm, 1110.0, long=long)
    assert wall_buckling_height(modulus, 2 * mm, 1110.0, long=long) == pytest.approx(14.5 * mm)


# --- bridges, skin, drainage ---


def test_stiff_span_sags_by_a_twentieth():
    """Independent: the deflection of a simply supported round beam, to the rounding of Smay's 1.4."""
    modulus, density, diameter = 25 * kPa, 1110.0, 1.6 * mm
    span = stiff_span(modulus, density, diameter)
    load, inertia = density * GRAVITY * np.pi * diameter**2 / 4, np.pi * diameter**4 / 64
    assert 5 * load * span**4 / (384 * modulus * inertia) == pytest.approx(0.05 * diameter, rel=9e-3)


def test_strong_span_yields_at_the_outer_fibre():
    """Exact: M/(π D³/32) = √3 τ with M = ρ g A L²/8."""
    span = strong_span(800.0, 1110.0, 1.6 * mm)
    moment = 1110 * GRAVITY * np.pi * (1.6 * mm) ** 2 / 4 * span**2 / 8
    assert moment / (np.pi * (1.6 * mm) ** 3 / 32) == pytest.approx(UNIAXIAL * 800)


def test_the_weaker_of_stiffness_and_strength_decides():
    """By hand: 25 kPa sags first (6.88 mm), 2500 kPa yields first (14.27 mm)."""
    spans = greatest_span(np.array([25, 2500]) * kPa, 800.0, 1110.0, 1.6 * mm)
    assert spans == pytest.approx(np.array([6.879, 14.269]) * mm, abs=6e-4 * mm)


def test_skin_times():
    """By hand, π D (Δu ρ_d/2j)²: 60 g/m2/h from 543 kg/m3 that may lose 0.1045: 15 to 152 min."""
    times = skin_time(np.array([1e-10, 1e-9]), 0.1045, 543.0, 60e-3 / 3600)
    assert times == pytest.approx(np.array([15.17, 151.7]) * minute, rel=5e-4)
    assert skin_time(1e-10, 0.1, 543.0, 0.0) == np.inf


def test_skin_time_by_finite_differences():
    """Independent: diffusion from a constant flux, marched until the face has lost 0.1."""
    diffusivity, dry_density, flux = 5e-10, 543.0, 2e-5
    step, pace = 2e-5, 0.25
    time_step, lost, time = pace * step**2 / diffusivity, np.zeros(300), 0.0
    while lost[0] < 0.1:
        inner = pace * (lost[2:] - 2 * lost[1:-1] + lost[:-2])
        lost[0] += 2 * pace * (lost[1] - lost[0]) + 2 * time_step * flux / (dry_density * step)
        lost[1:-1] += inner
        time += time_step
    assert skin_time(diffusivity, 0.1, dry_density, flux) == pytest.approx(time, rel=5e-3)


def test_drainage_speeds():
    """By hand: 60 um, porosity 0.5, 1 bar over 50 mm: water 20 mm/s, 1 Pa s 0.02, 10 Pa s 0.002 mm/s."""
    speeds = drainage_speed(0.5, 60e-6, np.array([1e-3, 1, 10]), 100 * kPa, 50 * mm)
    assert speeds == pytest.approx(np.array([20, 0.02, 0.002]) * mm)
    assert drainage_speed(0.62, 55e-6, 20.0, 74 * kPa, 60 * mm) == pytest.approx(0.00171 * mm, rel=5e-3)


# --- all of them ---

FORMULAS = {
    line_section: dict(width=2e-3, height=1e-3),
    line_width: dict(section=2e-6, height=1e-3),
    width_of_flow: dict(flow_rate=2e-8, print_speed=1e-2, height=1e-3),
    speed_ratio: dict(section=2e-6, diameter=1e-3),
    sag_stress: dict(density=1100.0, height=1e-3),
    line_holding_stress: dict(height=1e-3, width=2e-3, density=1100.0, surface_tension=0.05),
    plastic_height: dict(
        static_yield_stress=800.0, density=1100.0, build_up_rate=0.1, build_up_time=60.0, rise_speed=1e-4
    ),
    greatest_rise_speed: dict(
        height=0.13, static_yield_stress=800.0, density=1100.0, build_up_rate=0.1, build_up_time=1e4
    ),
    wall_buckling_height: dict(modulus=25e3, wall_width=2e-3, density=1100.0),
    ring_buckling_height: dict(modulus=25e3, wall_width=2e-3, radius=0.02, density=1100.0),
    effective_modulus: dict(lean_height=0.02, wall_width=2e-3, density=1100.0),
    greatest_span: dict(modulus=25e3, static_yield_stress=800.0, density=1100.0, diameter=1e-3),
    skin_time: dict(diffusivity=1e-10, skin_loss=0.1, dry_density=500.0, drying_flux=1e-5),
    drainage_speed: dict(porosity=0.5, grain_diameter=5e-5, liquid_viscosity=1.0, pressure=1e5, length=0.05),
}
NAMES = {formula.__name__: formula for formula in FORMULAS}


@pytest.mark.parametrize("name", NAMES)
def test_draws_against_maps(name):
    """A column of draws against a map gives one number each, the same as one at a time; numbers give a number."""
    formula, given = NAMES[name], FORMULAS[NAMES[name]]
    first, second = list(given)[:2]
    draws = given[first] * np.linspace(1, 1.1, 5).reshape(DRAWS)
    values = given[second] * np.linspace(1, 1.2, 12).reshape(MAP)
    found = formula(**{**given, first: draws, second: values})
    assert found.shape == (5, 3, 4)
    assert found[4, 2, 3] == pytest.approx(formula(**{**given, first: draws[4, 0, 0], second: values[0, 2, 3]}))
    assert np.ndim(formula(**given)) == 0


@pytest.mark.parametrize("name", NAMES)
def test_impossible_input_is_refused_by_name(name):
    formula, given = NAMES[name], FORMULAS[NAMES[name]]
    for quantity in given:
        for impossible in (-1e-3, np.nan, np.array([given[quantity], -1.0])):
            with pytest.raises(DataError, match=quantity):
                formula(**{**given, quantity: impossible})


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda: wall_buckling_height(25e3, -2e-3, 1110.0),
            "wall_buckling_height: wall_width = -0.002 m cannot be negative.",
        ),
        (
            lambda: ring_buckling_height(25e3, 2e-3, 0.9e-3, 1110.0),
            "ring_buckling_height: wall_width = 0.002 m fills the whole ring; "
            "the radius of the ring is that of the middle of the wall.",
        ),
        (
            lambda: drainage_speed(1.2, 6e-5, 1.0, 1e5, 0.05),
            "drainage_speed: porosity = 1.2 must be from 0 to 1.",
        ),
        (lambda: sag_stress(None, 1e-3), "sag_stress: density = None is no number; give it in kg/m³."),
        (lambda: sag_stress("thick", 1e-3), "sag_stress: density = 'thick' is no number; give it in kg/m³."),
        (
            lambda: plastic_height(800.0, 1110.0, rise_speed=0.0),
            "plastic_height: rise_speed = 0 m/s must be above 0; inf: all at once.",
        ),
    ],
)
def test_messages(act, message):
    with pytest.raises(DataError) as caught:
        act()
    assert str(caught.value) == message
