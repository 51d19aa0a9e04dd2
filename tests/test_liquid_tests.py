"""Falling ball and timed drain: what a liquid without a yield stress shows by its own weight or a ball's.

Kind       independent: closed forms and published viscosities worked out beside the check; exact where it says so.
Sources    glycerol: Segur and Oberstar (1951) as Dow's glycerine table 18, read in stored text (see published/test_glycerol_water.py);
           water: IAPWS R12-08 table 4 as quoted in a public test file, 889.7351 µPa·s at 298.15 K and 998 kg/m3.
"""

import warnings
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import rheokit as rk
from rheokit.units import STANDARD_GRAVITY, mm

GLYCEROL = pd.read_csv(
    Path(__file__).parent / "published" / "data" / "glycerol_water_viscosity.csv", comment="#"
).set_index(["glycerol_mass_pct", "T_degC"])["viscosity_mPa_s"]
DOPE = rk.Newtonian(viscosity=0.9198)
WATER = 889.7351e-6


def ball(speed=1.0 * mm, **changes):
    given = {"ball_diameter": 3 * mm, "ball_density": 7800.0, "tube_diameter": 30 * mm, "density": 1090.0} | changes
    return rk.FallingBall(speed=speed, **given)


def open_barrel(diameter, length, barrel=20.1 * mm):
    nozzle = rk.Nozzle(rk.Cylinder(diameter=diameter, length=length))
    return rk.Extruder(barrel_diameter=barrel, fill_length=0.0, nozzle=nozzle)


def drain(extruder, time=60.0, **changes):
    given = {"density": 1090.0, "start_level": 90 * mm, "end_level": 60 * mm} | changes
    return rk.TimedDrain(extruder=extruder, drain_time=time, **given)


def fitted(law_class, *tests):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(law_class, *tests)


def checks(fit):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return fit.checks.set_index("question")


# --- falling ball -----------------------------------------------------------------------------------------------------


def test_a_ball_in_a_dope():
    """Stokes with the wall 28.3281 mm/s; Re 0.101 there takes 3/16 of itself off, by the root of v (1 + 3/16 Re(v)) = 28.3281 mm/s."""
    assert ball().wall_factor == pytest.approx(0.7916805, rel=1e-7)
    (speed,) = ball().predict(DOPE)
    reynolds = 1090 * speed * 3 * mm / 0.9198
    assert speed * (1 + 3 / 16 * reynolds) == pytest.approx(28.3281 * mm, rel=2e-6)
    assert 1090 * 28.3281 * mm * 3 * mm / 0.9198 == pytest.approx(0.101, abs=5e-4)


@pytest.mark.parametrize(("percent", "celsius"), [(85, 20), (85, 40), (100, 20), (100, 40), (75, 10)])
def test_a_ball_in_glycerol_gives_the_tabulated_viscosity(percent, celsius):
    """A 2 mm ball of glass (2500) in 100 mm, its speed by Stokes, Faxén and Oseen written out here; the table's printed places."""
    density = 1000 + 2.6 * percent  # about that of glycerol in water; it enters both sides
    viscosity = GLYCEROL[percent, celsius] * 1e-3
    share = 2 / 100
    stokes = (2500 - density) * 9.81 * (2 * mm) ** 2 / (18 * viscosity)
    beside = stokes * (1 - 2.104 * share + 2.09 * share**3 - 0.95 * share**5)
    inertia = 3 / 16 * density * 2 * mm / viscosity
    speed = (np.sqrt(1 + 4 * inertia * beside) - 1) / (2 * inertia)
    test = ball(speed, ball_diameter=2 * mm, ball_density=2500.0, tube_diameter=100 * mm, density=density)
    assert fitted(rk.Newtonian, test).law.viscosity == pytest.approx(viscosity, rel=1e-6)


def test_a_power_law_is_taken_at_the_rate_of_the_ball():
    """Kind: exact. Creeping: η = K (0.4 v/d)^(n-1), so v^n = Δρ g d² W/(18 K) (0.4/d)^(1-n); Re 1e-4 takes 2e-5 off."""
    law = rk.PowerLaw(consistency=30.0, flow_index=0.6)
    pull = (7800 - 1090) * 9.81 * (3 * mm) ** 2 * 0.7916805 / (18 * 30)
    speed = (pull * (0.4 / (3 * mm)) ** 0.4) ** (1 / 0.6)
    assert ball().predict(law)[0] == pytest.approx(speed, rel=1e-4)


def test_the_rate_of_the_ball_is_doubtful_where_the_liquid_thins_and_nowhere_else():
    """n = 0.5: 30 % on the rate is K c^(n-1) by 15 %, so v by 1/n of it the other way."""
    test = ball(model_error=0.05)
    (key,) = [key for key in test.nuisances() if key.name == "ball_rate"]
    thick, thin = DOPE, rk.PowerLaw(consistency=30.0, flow_index=0.5)
    for law, power in ((thick, 0.0), (thin, 0.5 / 0.5)):
        ratio = test.predict(law, {key: 0.4 * 1.1})[0] / test.predict(law, {key: 0.4})[0]
        assert ratio == pytest.approx(1.1**power, rel=1e-3)
    assert not ball().nuisances(), "a theory that is taken as exact shares nothing"


@pytest.mark.parametrize(
    ("index", "drag"), [(0.9, 1.14), (0.8, 1.24), (0.7, 1.32), (0.6, 1.382), (0.5, 1.42), (0.4, 1.442), (0.3, 1.458)]
)
def test_the_rate_of_the_ball_holds_computed_drags_of_power_laws(index, drag):
    """Kind: published, from memory: drag over 3π K (v/d)^n d² of Gu and Tanner (1985); the limits of the rate hold each of them."""
    law = rk.PowerLaw(consistency=30.0, flow_index=index)
    wide = ball(tube_diameter=0.29, model_error=0.05)
    (key,) = [key for key in wide.nuisances() if key.name == "ball_rate"]
    prior = wide.nuisances()[key]
    pull = (7800 - 1090) * 9.81 * 3 * mm * wide.wall_factor / 18  # K (v/d)^n times the drag
    speed = 3 * mm * (pull / (30 * drag)) ** (1 / index)
    ends = [wide.predict(law, {key: prior.middle * np.exp(side * 1.96 * prior.spread)})[0] for side in (-1, 1)]
    assert min(ends) < speed < max(ends)


def test_a_ball_that_a_yield_stress_holds_does_not_fall_and_one_it_carries_is_told():
    assert ball().predict(rk.Bingham(yield_stress=30.0, plastic_viscosity=1.0))[0] == 0
    rates = np.geomspace(0.1, 100, 8)
    law = rk.Bingham(yield_stress=1.0, plastic_viscosity=1.0)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=law.shear_stress(rates), relative_uncertainty=0.02)
    (speed,) = ball().predict(law)
    row = checks(fitted(rk.Bingham, curve, ball(speed))).loc["ball in a liquid without a yield stress"]
    assert not row.passed
    assert "the yield stress is 29 % of the stress on the ball" in row.comment  # 1 Pa of 0.4*6710*9.81*0.003*0.79168/18


def test_a_fast_ball_is_told():
    """In water a steel ball of 3 mm is far beyond creeping."""
    test = ball(0.3, density=998.0)
    row = checks(fitted(rk.Newtonian, test)).loc["ball falls slowly enough"]
    assert not row.passed
    assert "Take a smaller or a lighter ball" in row.comment


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"ball_density": 1060.0},
            "ball_density = 1060 kg/m³ is not above density, 1090 kg/m³, so the ball would not fall",
        ),
        (
            {"tube_diameter": 8 * mm},
            "ball_diameter = 3 mm in a tube of 8 mm is 0.38 of its width; the wall is accounted for up to 0.3",
        ),
    ],
)
def test_balls_that_cannot_be(change, words):
    with pytest.raises(rk.DataError) as caught:
        ball(**change)
    assert words in str(caught.value)


# --- timed drain ------------------------------------------------------------------------------------------------------


def test_a_drain_of_a_dope():
    """20.1 mm through 3 x 10 mm from 90 to 60 mm: land alone 128 η L A_0 ln(1.5)/(π D⁴ ρ g) = 55.6684 s; with the step 60.438 s."""
    land = 128 * 0.9198 * 10 * mm * np.pi * (20.1 * mm) ** 2 / 4 * np.log(1.5) / (np.pi * (3 * mm) ** 4 * 1090 * 9.81)
    assert land == pytest.approx(55.6684, rel=1e-6)
    assert drain(open_barrel(3 * mm, 10 * mm)).predict(DOPE)[0] == pytest.approx(60.438, rel=1e-5)
    flush = open_barrel(20 * mm, 10 * mm, barrel=20 * mm)
    seen = drain(flush, 0.5).predict(rk.Newtonian(viscosity=2000.0))[0]
    wide = 128 * 2000 * 10 * mm * np.log(1.5) / (4 * (20 * mm) ** 2 * 1090 * 9.81)
    assert seen == pytest.approx(wide, rel=1e-12)


def test_a_power_law_drains_by_its_own_head():
    """Kind: exact. Q = k h^(1/n): t = A_0/k (h_0^(1-1/n) - h_1^(1-1/n))/(1 - 1/n), k = πR³ n/(3n+1) (ρ g R/2KL)^(1/n); no step."""
    law, radius, n = rk.PowerLaw(consistency=2000.0, flow_index=0.5), 10 * mm, 0.5
    k = np.pi * radius**3 * n / (3 * n + 1) * (1090 * 9.81 * radius / (2 * 2000 * 10 * mm)) ** (1 / n)
    time = np.pi * radius**2 / k * ((90 * mm) ** -1 - (60 * mm) ** -1) / -1
    flush = open_barrel(20 * mm, 10 * mm, barrel=20 * mm)
    assert drain(flush).predict(law)[0] == pytest.approx(time, rel=1e-9)


def test_a_drain_of_water_gives_the_viscosity_of_water():
    """Through 0.5 mm x 200 mm from 400 to 300 mm, time by Hagen and Poiseuille: the step into the needle takes less than 0.4 %."""
    area = np.pi * (20 * mm) ** 2 / 4
    time = 128 * WATER * 0.2 * area * np.log(4 / 3) / (np.pi * (0.5 * mm) ** 4 * 998 * STANDARD_GRAVITY)
    needle = drain(open_barrel(0.5 * mm, 200 * mm, 20 * mm), time, density=998.0, start_level=0.4, end_level=0.3)
    fit = fitted(rk.Newtonian, needle)
    assert fit.law.viscosity == pytest.approx(WATER, rel=4e-3)
    assert checks(fit).passed["drains slowly enough"]


def test_water_out_of_a_wide_nozzle_is_told():
    """3 mm and 90 mm of head: the jet takes nearly all of it, and the liquid would look far too viscous."""
    area = np.pi * (20.1 * mm) ** 2 / 4
    time = area * 30 * mm / (np.pi * (3 * mm) ** 2 / 4 * 1.0)  # at 1 m/s
    row = checks(fitted(rk.Newtonian, drain(open_barrel(3 * mm, 10 * mm), time, density=998.0)))
    assert not row.passed["drains slowly enough"]
    assert "take a longer or a finer nozzle" in row.comment["drains slowly enough"]


def test_a_gel_that_yields_does_not_drain():
    stuck = drain(open_barrel(3 * mm, 10 * mm)).predict(rk.Bingham(yield_stress=100.0, plastic_viscosity=1.0))[0]
    assert stuck > 1e20  # 90 mm of it press 72 Pa on the wall of the nozzle


def test_a_doubtful_bore_is_shared_with_the_runs_of_the_nozzle():
    barrel = open_barrel(3 * mm, 10 * mm)
    test = drain(barrel, bore_uncertainty=0.01)
    run = rk.PressureRun(nozzle=barrel.nozzle, flow_rate=1e-8, pressure=1e3, bore_uncertainty=0.01)
    assert set(test.nuisances()) == set(run.nuisances())
    (key,) = test.nuisances()
    wider = drain(open_barrel(3.03 * mm, 10 * mm)).predict(DOPE)
    assert test.predict(DOPE, {key: 1.01}) == pytest.approx(wider, rel=1e-9)
    several = test.predict(DOPE, {key: np.array([[1.0], [1.01]])})
    assert several.shape == (2, 1)
    assert several[1] == pytest.approx(wider, rel=1e-9)


@pytest.mark.parametrize("kind", ["ball", "drain"])
def test_each_reading_is_seen_at_its_own_temperature(kind):
    """Kind: independent. Three temperatures in one record against a record each, for one law and for draws; the fit finds them again."""
    at = np.array([60.0, 45.0, 38.0]) + 273.15
    law_class = rk.heated(rk.Newtonian)
    law = law_class(viscosity=0.9198, activation_energy=42e3)
    several = law_class(viscosity=np.array([[0.9], [1.1]]), activation_energy=np.array([[42e3], [40e3]]))

    def made(readings, temperature):
        given = {"temperature": temperature, "relative_uncertainty": 0.01}
        return ball(readings, **given) if kind == "ball" else drain(open_barrel(3 * mm, 10 * mm), readings, **given)

    together = made(np.ones(3), at)
    alone = [made(1.0, [one]) for one in at]
    assert together.predict(law) == pytest.approx([one.predict(law)[0] for one in alone], rel=1e-9)
    assert together.predict(several) == pytest.approx(np.hstack([one.predict(several) for one in alone]), rel=1e-9)
    fit = fitted(law_class, made(together.predict(law), at))
    assert fit.law.viscosity == pytest.approx(0.9198, rel=1e-6)
    assert fit.law.activation_energy == pytest.approx(42e3, rel=1e-6)
    assert len(checks(fit))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"end_level": 95 * mm}, "start_level = 90 mm is not above end_level, 95 mm; are they swapped"),
        ({"end_level": 8 * mm}, "end_level = 8 mm lies in the nozzle, which is 10 mm long"),
    ],
)
def test_levels_that_cannot_be(change, words):
    with pytest.raises(rk.DataError) as caught:
        drain(open_barrel(3 * mm, 10 * mm), **change)
    assert words in str(caught.value)


def test_a_folder_gives_both_and_the_syringe_of_a_run_serves_a_drain(tmp_path):
    (tmp_path / "bench.toml").write_text(
        """
[specimen]
density = "1090 kg/m3"

[apparatus.syringe]
barrel_diameter = "20.1 mm"
fill_length = "60 mm"
plunger_friction = "3.5 ± 0.4 N"

[[test]]
kind = "syringe force"
file = "force.csv"
apparatus = "syringe"
bore = "0.84 mm"
length = "25 mm"
read = "flow_rate"

[[test]]
kind = "timed drain"
file = "drain.csv"
apparatus = "syringe"
bore = "3.00 mm ± 1 %"
length = "10 mm"
start_level = "90 mm"
end_level = "60 mm"
uncertainty = "2 %"

[[test]]
kind = "falling ball"
file = "ball.csv"
ball_diameter = "3 mm"
ball_density = "7.8 g/cm3"
tube_diameter = "30 mm"
uncertainty = "2 %"
""",
        encoding="utf-8",
    )
    for name, text in (
        ("force", "load mass [kg], flow rate [mL/min]\n1, 0.64"),
        ("drain", "drain time [s]\n60.4"),
        ("ball", "speed [mm/s]\n27.8"),
    ):
        (tmp_path / f"{name}.csv").write_text(text + "\n", encoding="utf-8")
    run, drained, fallen = rk.read_bench(tmp_path).tests
    assert (run.apparatus, run.extruder.fill_length) == (drained.apparatus, 60 * mm)
    assert drained.extruder.fill_length == 0
    assert (drained.bore_uncertainty, drained.model_error, fallen.model_error) == (0.01, 0.05, 0.05)
    fit = fitted(rk.Newtonian, drained, fallen)
    assert fit.law.viscosity == pytest.approx(0.92, rel=0.01)
    again = tmp_path / "again"
    rk.write_bench(rk.Bench(rk.Specimen(density=1090.0), [drained, fallen]), again)
    assert [t.readings.tolist() for t in rk.read_bench(again).tests] == [t.readings.tolist() for t in (drained, fallen)]
