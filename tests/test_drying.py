"""Drying of the demonstration paste, limits, and what is refused. Every input but air and water is invented."""

import numpy as np
import pytest

from rheokit.errors import DataError
from rheokit.part.drying import (
    crack_index,
    drying_times,
    evaporation,
    latent_heat,
    measured_flux,
    oven_water_content,
    remaining_mass,
    slab_average,
    slab_time,
    time_under_cover,
    vapour_density,
)
from rheokit.units import g, hour, mm

pytestmark = pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")  # unit walls and other mathematics

ROOM = 295.15
PER_HOUR = g / hour  # kg/(m2 s) in g/(m2 h)
PART = dict(start_water=1.045, critical_water=0.6, final_water=0.15, equilibrium_water=0.08)


@pytest.mark.parametrize(("humidity", "low", "high"), [(0.35, 70, 87), (0.50, 53, 66), (0.70, 31, 39)])
def test_still_room_air(humidity, low, high):
    """At 22 °C, h_c 3 and 4, h_r 5.5 W/m2K: computed once elsewhere with another vapour equation, to 1 g/m2/h."""
    flux = evaporation(ROOM, humidity, convection=np.array([3.0, 4.0])).drying_flux / PER_HOUR
    assert flux == pytest.approx([low, high], abs=0.51)


def test_heat_and_vapour_balance():
    """Exact: the heat that reaches the surface is what the water takes away."""
    flux, surface = evaporation(ROOM, np.linspace(0.1, 1, 7))
    heat = (3.5 + 5.5) * (ROOM - surface)
    assert flux * latent_heat(surface) == pytest.approx(heat, rel=1e-6, abs=1e-7)
    carried = 3.5 / 1090 * (vapour_density(surface) - vapour_density(ROOM, np.linspace(0.1, 1, 7)))
    assert flux == pytest.approx(carried, rel=1e-6, abs=1e-12)


def test_wet_bulb_of_a_psychrometer():
    """Without radiation it is nearly a wet bulb: 13.8 °C at 20 °C and 50 % (psychrometric chart, from memory).

    The analogy of heat and vapour transfer, good to a tenth, takes it 0.5 K lower.
    """
    surface = evaporation(293.15, 0.5, convection=50.0, radiation=0.0).surface_temperature
    assert surface - 273.15 == pytest.approx(13.8, abs=0.5)


def test_radiation_warms_and_a_fan_speeds_up():
    with_radiation, without = (evaporation(ROOM, 0.5, radiation=value).drying_flux for value in (5.5, 0.0))
    still, fan = (evaporation(ROOM, 0.5, convection=value).drying_flux for value in (3.5, 20.0))
    assert with_radiation > 1.5 * without
    assert 2 < fan / still < 4


def test_saturated_air_takes_nothing():
    flux, surface = evaporation(ROOM, 1.0)
    assert flux == pytest.approx(0, abs=1e-12)
    assert surface == pytest.approx(ROOM)


def test_draws_against_a_map_of_rooms():
    found = evaporation(np.linspace(288, 303, 3)[:, None], np.linspace(0.2, 0.9, 4), convection=np.full((5, 1, 1), 3.5))
    assert found.drying_flux.shape == found.surface_temperature.shape == (5, 3, 4)
    assert found.drying_flux[2, 1, 3] == pytest.approx(evaporation(295.5, 0.9).drying_flux)
    assert np.ndim(evaporation(ROOM, 0.5).drying_flux) == 0


def test_a_wet_plate_weighed():
    """By hand: 1.2 g in an hour from 200 cm2 is 60 g/m2/h."""
    assert measured_flux(1.2 * g, 0.02, 1 * hour) / PER_HOUR == pytest.approx(60)


def test_times_of_the_demonstration_wall():
    """By hand: a 4 mm wall of 543 kg dry/m3, both faces, 60 g/m2/h: 8.05 h, then 18.9 h."""
    times = drying_times(1110 / 2.045 * 4 * mm, 2.0, 60 * PER_HOUR, **PART)
    assert times.constant_rate / hour == pytest.approx(8.05, abs=5e-3)
    assert times.falling_rate / hour == pytest.approx(18.87, abs=5e-3)
    assert times.total == times.constant_rate + times.falling_rate


def test_times_by_marching():
    """Independent: du/dt = -(j A/m) min(1, (u - u_e)/(u_cr - u_e)) in small steps."""
    flux, mass, area = 60 * PER_HOUR, 2.0, 2.0
    step, water, time = 20.0, PART["start_water"], 0.0
    span = PART["critical_water"] - PART["equilibrium_water"]
    while water > PART["final_water"]:
        water -= step * flux * area / mass * min(1.0, (water - PART["equilibrium_water"]) / span)
        time += step
    assert drying_times(mass, area, flux, **PART).total == pytest.approx(time, rel=1e-3)


@pytest.mark.parametrize(
    ("change", "constant", "falling"),
    [
        (dict(final_water=0.7), 0.345, 0.0),
        (dict(start_water=0.5), 0.0, 0.52 * np.log(0.42 / 0.07)),
        (dict(start_water=0.6), 0.0, 0.52 * np.log(0.52 / 0.07)),
    ],
)
def test_times_of_one_period_alone(change, constant, falling):
    times = drying_times(1.0, 1.0, 1.0, **PART | change)
    assert times.constant_rate == pytest.approx(constant)
    assert times.falling_rate == pytest.approx(falling)


def test_twice_the_wall_takes_twice_as_long_by_flux_and_four_times_by_diffusion():
    thin, thick = (drying_times(543.0 * width, 2.0, 60 * PER_HOUR, **PART).total for width in (3 * mm, 6 * mm))
    assert thick / thin == pytest.approx(2)
    assert slab_time(0.2, 1e-10, 3 * mm) / slab_time(0.2, 1e-10, 1.5 * mm) == pytest.approx(4)


def test_slab_time_undoes_slab_average():
    shares = np.array([1.0, 0.99, 0.75, 0.7477, 0.7476, 0.5, 0.1, 1e-3])
    assert slab_average(slab_time(shares, 1.0, 1.0)) == pytest.approx(shares, rel=1e-9)


def test_crack_index_is_twice_the_difference_in_the_wall():
    """Independent: the steady parabola of water in a wall that loses j from both faces, by finite differences."""
    flux, half, dry_density, diffusivity = 60 * PER_HOUR, 2 * mm, 543.0, 5e-10
    nodes, step = 400, half / 400
    sink = -flux / (dry_density * half)  # the wall's water falls everywhere alike
    slope = np.cumsum(np.full(nodes, sink / diffusivity * step)) - sink / diffusivity * step / 2
    difference = -np.sum(slope * step)
    assert crack_index(flux, half, dry_density, diffusivity) == pytest.approx(2 * difference, rel=5e-3)
    assert crack_index(flux, half, dry_density, diffusivity) == pytest.approx(0.1228, abs=5e-5)


def test_oven():
    """By hand: (48.30 - 36.15)/(36.15 - 24.50) = 1.0429."""
    assert oven_water_content(48.30 * g, 36.15 * g, 24.50 * g) == pytest.approx(1.0429, abs=5e-5)


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda: evaporation(22.0, 0.5),
            "evaporation: temperature = 22 K cannot be below -100 °C (did you mean 22 °C? That is 295.15 K).",
        ),
        (
            lambda: evaporation(ROOM, 50.0),
            "evaporation: relative_humidity = 50 must be from 0 to 1 (did you mean 50 %? That is 0.5).",
        ),
        (
            lambda: evaporation(274.15, 0.1),
            "evaporation: temperature = 274.15 K is so cold and dry that the surface would freeze.",
        ),
        (
            lambda: drying_times(1.0, 1.0, 1.0, **PART | dict(final_water=0.05)),
            "drying_times: final_water = 0.05 is never reached: the air leaves more in the part.",
        ),
        (
            lambda: drying_times(1.0, 1.0, 1.0, **PART | dict(final_water=1.2)),
            "drying_times: final_water = 1.2 is wetter than the start.",
        ),
        (
            lambda: drying_times(1.0, 1.0, 1.0, **PART | dict(critical_water=0.07)),
            "drying_times: critical_water = 0.07 is drier than the air leaves the part.",
        ),
        (
            lambda: drying_times(1.0, 0.0, 1.0, **PART),
            "drying_times: area = 0 m² must be above 0 and finite.",
        ),
        (lambda: slab_time(1.2, 1e-10, 1e-3), "slab_time: remaining = 1.2 must be above 0 and at most 1."),
        (lambda: slab_average(-1.0), "slab_average: fourier_number = -1 cannot be negative."),
        (lambda: crack_index(1e-5, 0.0, 500.0, 1e-10), "crack_index: half_thickness = 0 m must be above 0 and finite."),
        (
            lambda: oven_water_content(30 * g, 31 * g),
            "oven_water_content: mass = 0.03 kg is less than after the oven.",
        ),
        (
            lambda: oven_water_content(30 * g, 20 * g, 20 * g),
            "oven_water_content: dry_mass = 0 kg must be above 0: the container weighs as much as all.",
        ),
    ],
)
def test_messages(act, message):
    with pytest.raises(DataError) as caught:
        act()
    assert str(caught.value) == message


def test_the_mass_that_is_left():
    """By hand: 100 g dry and 104.5 g water become 100 and 58.5: 158.5/204.5 = 0.775."""
    assert remaining_mass(0.585, 1.045) == pytest.approx(158.5 / 204.5)
    assert remaining_mass(np.array([1.045, 0.0]), 1.045) == pytest.approx([1.0, 1 / 2.045])


def test_a_cover_costs_time_in_proportion():
    """Exact: half the flux takes the same water in twice the time."""
    water = PART | {"critical_water": 0.6}
    fluxes = 60 * PER_HOUR, 20 * PER_HOUR
    in_open, covered = (drying_times(1.0, 1.0, flux, **water).constant_rate for flux in fluxes)
    assert time_under_cover(in_open, *fluxes) == pytest.approx(covered)
    with pytest.raises(DataError, match="time_under_cover: drying_flux = 0"):
        time_under_cover(in_open, fluxes[0], 0.0)
