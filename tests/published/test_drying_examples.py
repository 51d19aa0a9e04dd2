"""Drying times and diffusion in a slab.

Source     Geankoplis, Transport Processes and Unit Operations, Examples 9.7-2 p. 547 and 9.9-1.
           Coulson and Richardson, Chemical Engineering vol. 2, Examples 16.1 p. 909 and 16.4 p. 922.
           J. Crank, The Mathematics of Diffusion: half time of a slab.
Kind       published Trust      S for the examples: inputs and answers as transcribed in worked-example companions,
page not seen; their digits
           are the transcriber's own arithmetic. M for Crank: recalled, and equal to the series summed anew.
Agreement  half a unit of the last printed place; the chart's 0.56 within its reading, 0.01.
"""

import numpy as np
import pytest

from rheokit.part.drying import drying_times, slab_average, slab_time

HOUR = 3600.0


def test_falling_rate_taken_as_a_straight_line():
    """Example 9.7-2: 399 kg, 18.58 m2, 1.51 kg/(h m2), free moisture 0.195 to 0.040 -> 4.39 h."""
    times = drying_times(
        399.0, 18.58, 1.51 / HOUR, start_water=0.195, critical_water=0.195, final_water=0.040, equilibrium_water=0.0
    )
    assert times.constant_rate == 0
    assert times.falling_rate / HOUR == pytest.approx(4.39, abs=5e-3)


def times(flux, start, final):
    return drying_times(
        1.0, 1.0, flux, start_water=start, critical_water=0.15, final_water=final, equilibrium_water=0.05
    ).total


def test_second_drying_from_the_first():
    """Example 16.1: 0.25 to 0.10 in 15 ks, critical 0.15, equilibrium 0.05 -> mA 0.113; 0.30 to 0.08 in 24.0 ks."""
    flux = times(1.0, 0.25, 0.10) / 15e3
    assert flux / (0.15 - 0.05) * 1e3 == pytest.approx(0.113, abs=5e-4)
    assert times(flux, 0.30, 0.08) / 1e3 == pytest.approx(24.0, abs=0.05)


def test_all_at_a_constant_rate():
    """Example 16.4: 100 kg of 30 % to 15.5 % moisture, 0.03 m2/kg dry, 0.0007 kg/(m2 s) -> 3.25 h.

    12.8 kg of water left is the example's own rounding of 12.84.
    """
    found = drying_times(
        70.0, 0.03 * 70, 0.0007, start_water=30 / 70, critical_water=0.1, final_water=12.8 / 70, equilibrium_water=0.0
    )
    assert found.falling_rate == 0
    assert found.total / HOUR == pytest.approx(3.25, abs=5e-3)


def test_slab_of_wood():
    """Example 9.9-1: 25.4 mm from both faces, 2.97e-6 m2/h, 0.29 to 0.09, equilibrium 0.04 -> 30.8 h; chart 0.56."""
    remaining = (0.09 - 0.04) / (0.29 - 0.04)
    time = slab_time(remaining, 2.97e-6 / HOUR, 12.7e-3)
    assert time / HOUR == pytest.approx(30.8, abs=0.05)
    assert slab_time(remaining, 1.0, 1.0) == pytest.approx(0.56, abs=0.01)


def test_half_time_of_a_slab():
    """D t/l² = 0.049 with l the whole thickness; -ln(π²/16 - (π²/16)⁹/9)/π² = 0.04919, the full series 0.04918."""
    assert slab_time(0.5, 1.0, 0.5) == pytest.approx(0.049, abs=5e-4)
    assert slab_time(0.5, 1.0, 0.5) == pytest.approx(0.049183, abs=1e-6)


def test_slab_against_a_long_series():
    """Independent: two thousand terms at every Fourier number, across the change of form."""
    fourier = np.concatenate([np.linspace(1e-4, 0.1, 50), np.linspace(0.1, 3, 30)])
    odd = 2 * np.arange(2000) + 1
    series = (8 / np.pi**2 * np.exp(-(np.pi**2) / 4 * odd**2 * fourier[:, None]) / odd**2).sum(axis=1)
    assert slab_average(fourier) == pytest.approx(series, rel=1e-8, abs=1e-8)
