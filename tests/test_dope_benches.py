"""From a bench of an invented dope to the thread that it makes: how often its limits hold what stands behind the readings.

Kind       simulation: 120 benches, everything that a bench does not know exactly drawn anew for each: friction, bores, the theory of
           each kind of test, scatter.
"""

import warnings
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.bench.base import Shared
from rheokit.fibre import dry_diameter, wet_diameter
from rheokit.sampling import limits_of_spread
from rheokit.units import STANDARD_GRAVITY, mm

LAW = rk.heated(rk.Newtonian)(viscosity=6.4531, activation_energy=45e3)
SECTION, FLOW, SPEED = 0.448, 10 * mm**3, 142.6 * mm
FORCES = np.array([0.75, 1.0, 1.5, 2.0]) * STANDARD_GRAVITY
CELSIUS = (60, 50, 42)


def rig(bore, length, fill=60 * mm, friction=3.5):
    nozzle = rk.Nozzle(rk.Cylinder(diameter=bore, length=length))
    return rk.Extruder(barrel_diameter=20.1 * mm, fill_length=fill, plunger_friction=friction, nozzle=nozzle)


def runs(random, law, theory):
    """Return weights at three temperatures: 4 % of scatter, friction and bore off by chance, the theory by 10 %."""
    friction, bore = 3.5 + 0.4 * random.standard_normal(), np.exp(0.01 * random.standard_normal())
    real, made = rig(0.84 * mm * bore, 12.7 * mm, friction=friction), []
    for degrees in CELSIUS:
        at = {"force": FORCES, "read": "flow_rate", "temperature": 273.15 + degrees, "label": f"{degrees} °C"}
        flow = rk.ForceRun(extruder=real, flow_rate=np.full(4, 1e-9), **at).predict(rk.Shifted(law, theory))
        errors = {
            "plunger_friction_uncertainty": 0.4,
            "bore_uncertainty": 0.01,
            "relative_uncertainty": 0.04,
            "model_error": 0.1,
        }
        flow = flow * np.exp(0.04 * random.standard_normal(4))
        made.append(
            rk.ForceRun(extruder=rig(0.84 * mm, 12.7 * mm), flow_rate=flow, apparatus="syringe", **at, **errors)
        )
    return made


def drain(random, law, theory):
    """Return a drain at two temperatures: 2 % of scatter, the bore off by 1 %, the theory by 5 %."""
    at = 273.15 + np.array([60.0, 60.0, 50.0, 50.0])
    given = {"density": 1127.0, "start_level": 90 * mm, "end_level": 60 * mm, "temperature": at}
    bore = 3 * mm * np.exp(0.01 * random.standard_normal())
    real = rk.TimedDrain(extruder=rig(bore, 10 * mm, 0.0), drain_time=np.ones(4), **given)
    times = real.predict(rk.Shifted(law, theory)) * np.exp(0.02 * random.standard_normal(4))
    errors = {"bore_uncertainty": 0.01, "relative_uncertainty": 0.02, "model_error": 0.05}
    return rk.TimedDrain(extruder=rig(3 * mm, 10 * mm, 0.0), drain_time=times, **given, **errors)


def thread(random):
    """Return three windings: 2 % on each mass, and 5 % on what the drum does to the section."""
    wet = wet_diameter(flow_rate=FLOW, winding_speed=SPEED)
    volume = np.pi * wet**2 / 4 * 100 * np.pi * 60 * mm
    section = SECTION * np.exp(0.05 * random.standard_normal())
    masses = volume * np.array([[1127.0], [1286.0 * section]]) * np.exp(0.02 * random.standard_normal((2, 3)))
    given = {"turns": 100, "drum_diameter": 60 * mm, "density": 1127.0, "dry_density": 1286.0, "model_error": 0.05}
    return rk.WoundThread(wet_mass=masses[0], dry_mass=masses[1], **given)


@pytest.mark.slow
def test_limits_of_viscosity_activation_energy_and_dry_diameter_hold_in_95_of_100():
    held = dict.fromkeys(["viscosity", "activation_energy", "dry diameter"], 0)
    wet = wet_diameter(flow_rate=FLOW, winding_speed=SPEED)
    thin = dry_diameter(wet, SECTION)
    for seed in range(120):
        random = np.random.Generator(np.random.PCG64(5000 + seed))
        pushed, drained = np.exp(np.array([0.1, 0.05]) * random.standard_normal(2))
        tests = [*runs(random, LAW, pushed), drain(random, LAW, drained), thread(random)]
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            fit = rk.fit(type(LAW), rk.Bench(rk.Specimen(density=1127.0), tests))
            table, material = fit.table, rk.Material.of(fit)
        for name, true in LAW.values.items():
            held[name] += table.low[name] < true < table.high[name]
        ends = limits_of_spread(material.paste.dry_section, material.spread("dry_section"))
        low, high = (dry_diameter(wet, end) for end in ends)
        held["dry diameter"] += low < thin < high
    assert all(0.89 < count / 120 <= 0.995 for count in held.values()), held


@pytest.mark.slow
def test_what_two_kinds_of_test_say_together_is_closer_than_either():
    """The drain has no friction in it and a theory half as doubtful: with it the viscosity is known better than by weights alone."""
    random = np.random.Generator(np.random.PCG64(77))
    pushed, drained = runs(random, LAW, 1.0), drain(random, LAW, 1.0)

    def width(*tests):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            table = rk.fit(type(LAW), *tests).table
        return np.log(table.high["viscosity"] / table.low["viscosity"])

    assert width(*pushed, drained) < 0.6 * width(*pushed)
    assert width(*pushed, drained) < width(drained)


def test_a_drain_does_not_share_the_doubt_of_a_syringe():
    test = drain(np.random.Generator(np.random.PCG64(1)), LAW, 1.0)
    assert {key for key in test.nuisances() if key.name == "model_factor"} == {Shared("model_factor", "timed drain")}
    assert not any(key.name == "plunger_friction" for key in test.nuisances())
    assert "model_factor[timed drain]" not in replace(test, model_error=0.0).nuisances()
