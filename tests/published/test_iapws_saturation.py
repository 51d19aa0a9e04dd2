"""Vapour pressure and vapour density of water.

Source     IAPWS SR1-86(1992), Saturation Properties of Ordinary Water Substance, table of check values: 611.657 Pa at
           273.16 K, 0.101325 MPa at 373.1243 K, 22.064 MPa at 647.096 K; vapour 0.00485426 and 0.597586 kg/m3.
           IAPWS-IF97, table 35: 0.353658941e-2 MPa at 300 K. Steam tables: 2.339 kPa and 0.01731 kg/m3 at 20 °C.
           Latent heat: steam tables, 2500.9, 2453.5, 2406.0 and 2357.7 kJ/kg at 0, 20, 40 and 60 °C.
Kind       published
Trust      V for the vapour densities and for 300 K: read in the test suite of a public steam library that quotes both
           releases ("SatDensV(273.16), 6) ≈ 0.00485426", "Psat(300.0) ≈ 0.353_658_941E-2"). M for the rest.
Agreement  Pressures of SR1-86: half a unit of the last place. IF97 is another equation: within 1e-4 of this one.
Densities:
           ideal gas, 0.1 % at room temperature and 1.6 % at the boiling point, where no print is dried.
"""

import pytest

from rheokit.part.drying import latent_heat, saturation_pressure, vapour_density


@pytest.mark.parametrize(
    ("temperature", "pressure", "last_place"),
    [(273.16, 611.657, 5e-4), (373.1243, 101325, 0.5), (647.096, 22.064e6, 500)],
)
def test_check_values(temperature, pressure, last_place):
    assert saturation_pressure(temperature) == pytest.approx(pressure, abs=last_place)


def test_another_published_equation():
    assert saturation_pressure(300.0) == pytest.approx(3536.58941, rel=1e-4)


def test_steam_table():
    assert saturation_pressure(293.15) == pytest.approx(2339, abs=0.5)


@pytest.mark.parametrize(
    ("temperature", "density", "ideal"),
    [(273.16, 0.00485426, 1e-3), (293.15, 0.01731, 2e-3), (373.1243, 0.597586, 1.6e-2)],
)
def test_vapour_density(temperature, density, ideal):
    assert vapour_density(temperature) == pytest.approx(density, rel=ideal)


@pytest.mark.parametrize(("celsius", "heat"), [(0, 2500.9), (20, 2453.5), (40, 2406.0), (60, 2357.7)])
def test_latent_heat(celsius, heat):
    assert latent_heat(celsius + 273.15) == pytest.approx(heat * 1e3, rel=1e-3)
