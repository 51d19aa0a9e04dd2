"""Glycerol and water in a capillary: two sources of their viscosity vouch for each other.

Source     Segur and Oberstar (1951) as Dow's glycerine table 18,
           www3.nd.edu/~dtl/cheg459/pivexperiment/viscosity.m ("12070 3900 1410 612 284");
           data/glycerol_water_viscosity.csv. Cheng, Industrial and Engineering Chemistry Research 47 (2008)
           3285.
Kind       published
Trust      table V: read in stored text; formula and its reference M: from memory, then compared with the
           table.
Agreement  Cheng's formula follows the table with a mean deviation of 1.5 % and 3.5 % at the worst.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import rheokit as rk
from rheokit.units import mm

TABLE = pd.read_csv(Path(__file__).parent / "data" / "glycerol_water_viscosity.csv", comment="#")
BORE, LENGTH, FLOW = 1.2 * mm, 150 * mm, 20 * mm**3


def cheng_viscosity(mass_share, temperature):
    """Return the viscosity [Pa s] of a mass share of glycerol at a temperature [°C]."""
    c, t = mass_share, temperature
    water = 1.790e-3 * np.exp((-1230 - t) * t / (36100 + 360 * t))
    glycerol = 12.100 * np.exp((-1233 + t) * t / (9900 + 70 * t))
    a = 0.705 - 0.0017 * t
    b = (4.9 + 0.036 * t) * a**2.5
    power = 1 - c + a * b * c * (1 - c) / (a * c + b * (1 - c))
    return water**power * glycerol ** (1 - power)


def test_pressures_of_the_table_give_chengs_viscosities():
    """The pressure of the tabulated fluid through a capillary, turned into a viscosity by Hagen and
    Poiseuille.
    """
    tube = rk.Cylinder(diameter=BORE, length=LENGTH)
    pressure = tube.pressure_drop(rk.Newtonian(viscosity=TABLE.viscosity_mPa_s.to_numpy() * 1e-3), FLOW)
    found = np.pi * BORE**4 * pressure / (128 * LENGTH * FLOW)
    deviation = cheng_viscosity(TABLE.glycerol_mass_pct / 100, TABLE.T_degC) / found - 1
    assert deviation.abs().mean() == pytest.approx(0.015, abs=5e-4)
    assert deviation.abs().max() == pytest.approx(0.035, abs=5e-4)


@pytest.mark.parametrize("mass_percent", [0, 50, 85])
def test_fit_to_a_capillary_gives_the_table_back(mass_percent):
    """A calibration at 20 °C: pressures of three flows by Hagen and Poiseuille, fitted; the table's printed
    places.
    """
    row = TABLE[(TABLE.glycerol_mass_pct == mass_percent) & (TABLE.T_degC == 20)].iloc[0]
    flow = FLOW * np.array([0.5, 1.0, 2.0])
    pressure = 128 * row.viscosity_mPa_s * 1e-3 * LENGTH * flow / (np.pi * BORE**4)
    run = rk.PressureRun(nozzle=rk.Nozzle(rk.Cylinder(diameter=BORE, length=LENGTH)), flow_rate=flow, pressure=pressure)
    assert rk.fit(rk.Newtonian, run).law.viscosity == pytest.approx(row.viscosity_mPa_s * 1e-3, rel=1e-6)


def test_a_ball_and_a_drain_at_two_temperatures_give_the_activation_energy_of_the_table():
    """85 % glycerol at 20 and 40 °C: E_a = R ln(η_20/η_40)/(1/T_20 - 1/T_40), speeds by Stokes' law and times by Hagen and Poiseuille.

    A glass ball of 0.3 mm in 300 mm and a drain through 2 mm by 200 mm, so that wall, inertia and step take less than a hundredth.
    """
    kelvin = np.array([293.15, 313.15])
    viscosity = (
        TABLE[(TABLE.glycerol_mass_pct == 85) & TABLE.T_degC.isin([20, 40])]
        .sort_values("T_degC")
        .viscosity_mPa_s.to_numpy()
        * 1e-3
    )
    energy = 8.314462618 * np.log(viscosity[0] / viscosity[1]) / (1 / kelvin[0] - 1 / kelvin[1])
    given = {"density": 1220.0, "temperature": kelvin}
    speed = (2500 - 1220) * 9.81 * (0.3 * mm) ** 2 / (18 * viscosity)
    ball = rk.FallingBall(ball_diameter=0.3 * mm, ball_density=2500.0, tube_diameter=300 * mm, speed=speed, **given)
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=200 * mm))
    barrel = rk.Extruder(barrel_diameter=20 * mm, fill_length=0.0, nozzle=nozzle)
    time = (
        128
        * viscosity
        * 200
        * mm
        * (np.pi * (20 * mm) ** 2 / 4)
        * np.log(4 / 3)
        / (np.pi * (2 * mm) ** 4 * 1220 * 9.81)
    )
    drain = rk.TimedDrain(extruder=barrel, start_level=400 * mm, end_level=300 * mm, drain_time=time, **given)
    for test in (ball, drain):
        law = rk.fit(rk.heated(rk.Newtonian, 293.15), test).law
        assert law.viscosity == pytest.approx(viscosity[0], rel=0.01)
        assert law.activation_energy == pytest.approx(energy, rel=5e-3)
