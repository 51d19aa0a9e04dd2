"""Start and stop with trapped air: closed forms, an independent integration, the demonstration, draws and intervals."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import rheokit as rk
from rheokit.flow.channel import Slip
from rheokit.machine.transients import Compression, Transient, rise
from rheokit.units import ATMOSPHERE, kPa, mL, mm

PASTE = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
LAND = rk.Cylinder(diameter=1.6 * mm, length=12 * mm)
RIG = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0, nozzle=rk.Nozzle(LAND))
TUBE = rk.Extruder(barrel_diameter=1.6 * mm, fill_length=0.0, nozzle=rk.Nozzle(LAND))  # a land alone
FLOW = 23 * mm**3
mm3 = mm**3
OUTSIDE = pytest.mark.filterwarnings("ignore::rheokit.errors.ModelRangeWarning")


def demonstration(air=0.03, **changes):
    """Return the start and stop of 50 mL of the demonstration's olive-stone paste."""
    given = {"extruder": RIG, "law": PASTE, "flow_rate": FLOW, "compression": Compression.of_paste(50 * mL, air)}
    return Transient(**given | changes)


# --- closed forms -------------------------------------------------------------------------------------------------


def test_boyle_and_spring():
    """Kind: exact. 1 mL of gas at twice the pressure of the air is 0.5 mL; the slope is that of the stored volume."""
    gas = Compression(gas_volume=1 * mL)
    assert gas.stored_volume(ATMOSPHERE) == pytest.approx(0.5 * mL)
    assert Compression(compliance=1e-12).stored_volume(2e5) == pytest.approx(2e-7)
    both = Compression(gas_volume=1 * mL, compliance=2e-12, atmospheric_pressure=9e4)
    slope = (both.stored_volume(80100.0) - both.stored_volume(79900.0)) / 200
    assert both.tangent(80e3) == pytest.approx(slope, rel=1e-6)


@pytest.mark.parametrize("share", [0.05, 0.5, 0.95, 0.99, 0.999])
def test_a_newtonian_liquid_in_an_elastic_barrel_rises_and_falls_exponentially(share):
    """Kind: exact. t = -RC ln(1 - f) after the start, V = CP (1 - exp(-t/RC)) after the stop."""
    law, compliance = rk.Newtonian(viscosity=50.0), 3e-12
    job = Transient(extruder=TUBE, law=law, flow_rate=FLOW, compression=Compression(compliance=compliance))
    constant = compliance * 128 * 50 * 12 * mm / (np.pi * (1.6 * mm) ** 4)
    assert job.first_drop == 0
    assert job.time_to(share) == pytest.approx(-constant * np.log(1 - share), rel=1e-5)
    assert job.time_constant == pytest.approx(constant, rel=1e-6)
    assert job.lag == pytest.approx(constant, rel=1e-9)
    assert job.steady == pytest.approx(6 * constant, rel=1e-6)
    after = -constant * np.log(1 - share)
    assert job.ooze(after) == pytest.approx(constant * FLOW * share, rel=1e-6)
    assert job.ooze(1e6) == pytest.approx(job.ooze_limit, rel=1e-9)


@pytest.mark.parametrize("share", [0.05, 0.5, 0.95, 0.99])
def test_a_square_root_fluid_in_an_elastic_barrel(share):
    """Kind: exact. Q ∝ P²: t = (CP/Q) artanh √f after the start, P = P_0/(1 + t Q/CP) after the stop."""
    law, compliance = rk.PowerLaw(consistency=500.0, flow_index=0.5), 3e-12
    job = Transient(extruder=TUBE, law=law, flow_rate=FLOW, compression=Compression(compliance=compliance))
    constant = compliance * job.pressure / FLOW
    assert job.time_to(share) == pytest.approx(constant * np.arctanh(np.sqrt(share)), rel=1e-5)
    assert job.time_constant == pytest.approx(constant / 2, rel=1e-6)
    for after in np.array([0.1, 1, 10, 1000]) * constant:
        left = 1 / (1 + after / constant)
        assert job.ooze(after) == pytest.approx(compliance * job.pressure * (1 - left), rel=1e-6)


def test_nothing_that_gives_way_is_no_lag():
    job = demonstration(air=0.0)
    assert (job.first_drop, job.half_flow, job.ooze_limit, job.ooze(10.0), job.steady) == (0, 0, 0, 0, 0)


# --- an independent integration -----------------------------------------------------------------------------------


def bingham_flow(pressure, yield_stress=400.0, viscosity=30.0):
    """Return the flow [m3/s] of a Bingham paste through the land, by Buckingham and Reiner."""
    x = np.minimum(yield_stress * 4 * LAND.length / LAND.diameter / np.maximum(pressure, 1e-9), 1.0)
    newtonian = np.pi * LAND.diameter**4 * pressure / (128 * viscosity * LAND.length)
    return newtonian * (1 - 4 / 3 * x + x**4 / 3)


def tabulated(rig, law, most):
    """Return the flow as a function of pressure, off a fine table of pressures of flows."""
    flows = np.concatenate([[0.0], np.geomspace(1e-9, 2, 6000) * most])
    pressures = rig.channel.pressure_drop(law, flows)
    return lambda pressure: np.interp(pressure, pressures, flows, left=0.0)


SLIPPING = replace(RIG, slip=Slip(coefficient=1e-7, threshold=200.0), compliance=2e-13)
TAPERED = replace(RIG, nozzle=rk.Nozzle(rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm), LAND))
CASES = {
    "Bingham paste in a land": (TUBE, rk.Bingham(yield_stress=400.0, plastic_viscosity=30.0), bingham_flow),
    "olive-stone paste": (RIG, PASTE, None),
    "olive-stone paste in a taper": (TAPERED, PASTE, None),
    "olive-stone paste that slips": (SLIPPING, PASTE, None),
    "Casson paste": (RIG, rk.Casson(yield_stress=300.0, plastic_viscosity=20.0), None),
    "thin power law": (RIG, rk.PowerLaw(consistency=500.0, flow_index=0.25), None),
}


@pytest.mark.slow
@OUTSIDE
@pytest.mark.parametrize("case", CASES)
def test_against_a_stiff_solver(case):
    """Kind: independent. C(P) dP/dt = Q_in - Q(P), stepped in time by Radau, up and down; agreement 0.1 %."""
    rig, law, flow_of = CASES[case]
    flow_of = flow_of or tabulated(rig, law, FLOW)
    gas = 1.5e-6
    job = Transient(
        extruder=rig, law=law, flow_rate=FLOW, compression=Compression(gas_volume=gas, compliance=rig.compliance)
    )

    def pressure_rate(inflow):
        def rate(_, p):
            compliance = gas * ATMOSPHERE / (ATMOSPHERE + p) ** 2 + rig.compliance
            return (inflow - flow_of(p)) / compliance

        return rate

    # a step no longer than a hundredth of the lag finds the corner at which the paste yields
    up = solve_ivp(
        pressure_rate(FLOW), (0, 8 * job.lag), [0.0], "Radau", dense_output=True, rtol=1e-8, max_step=job.lag / 100
    )
    times = np.linspace(0, up.t[-1], 40001)
    shares = flow_of(up.sol(times)[0]) / FLOW
    for share in (0.02, 0.5, 0.95, 0.99):
        assert job.time_to(share) == pytest.approx(np.interp(share, shares, times), rel=1e-3)
    down = solve_ivp(pressure_rate(0.0), (0, 300), [job.pressure], "Radau", dense_output=True, rtol=1e-9, atol=1e-3)
    for after in (1.0, 10.0, 60.0, 300.0):
        left = gas * down.sol(after)[0] / (ATMOSPHERE + down.sol(after)[0]) + rig.compliance * down.sol(after)[0]
        assert job.ooze(after) == pytest.approx(job.retraction - left, rel=1e-3)
    assert job.ooze(300.0) < job.ooze_limit <= job.retraction


def sought(flow, goal, low, high=1e6):
    """Return the stress [Pa] at which a rising flow reaches a goal."""
    return brentq(lambda stress: flow(stress) - goal, low, high, xtol=1e-9, maxiter=1000)


@pytest.mark.slow
@pytest.mark.parametrize("drag", [0.3, 0.7, 1.0])
def test_what_oozes_in_the_long_run_with_slip_in_the_land_and_drag_in_the_barrel(drag):
    """Kind: independent. Buckingham and Reiner with slip at the wall of the land, and times the drag in the barrel, each
    inverted by root search; C(P) dP/dt = -Q(P) by Radau for ten days; agreement 0.2 % of what oozes.
    """
    tau_y, viscosity, slip, gas = 400.0, 30.0, Slip(coefficient=1e-7, threshold=200.0), 1.5e-6
    bore, barrel, fill = LAND.diameter, 26.7 * mm, 60 * mm
    rig = replace(RIG, barrel_drag=drag, slip=slip, compliance=0.0)
    law = rk.Bingham(yield_stress=tau_y, plastic_viscosity=viscosity)
    step = next(part for part in rig.parts if part.name.startswith("step"))  # converging flow is not in question here

    def sheared(stress, diameter):
        x = min(tau_y / stress, 1.0)
        return np.pi * diameter**3 / 32 * stress / viscosity * (1 - 4 / 3 * x + x**4 / 3)

    def pressure(flow):
        land = sought(lambda t: sheared(t, bore) + np.pi * bore**2 / 4 * slip.coefficient * (t - 200), flow, 200.0)
        wall = sought(lambda t: sheared(t, barrel), flow, tau_y)
        return 4 * LAND.length / bore * land + 4 * fill / barrel * drag * wall + float(step.pressure_drop(law, flow))

    flows = FLOW * np.exp(np.linspace(0, -26, 600))
    pressures, logs = np.array([pressure(q) for q in flows])[::-1], np.log(flows)[::-1]

    def fall(log_time, p):
        compliance = gas * ATMOSPHERE / (ATMOSPHERE + p) ** 2
        return -np.exp(log_time + np.interp(p, pressures, logs)) / compliance

    days = solve_ivp(fall, (np.log(1e-3), np.log(864000.0)), [pressures[-1]], "Radau", rtol=1e-9, atol=1e-4)
    stored = [gas * p / (ATMOSPHERE + p) for p in (pressures[-1], days.y[0, -1])]
    job = Transient(
        extruder=rig, law=law, flow_rate=FLOW, compression=Compression(gas_volume=gas, compliance=rig.compliance)
    )
    oozed = stored[0] - stored[1]
    assert job.ooze(864000.0) == pytest.approx(oozed, rel=2e-3)
    assert job.ooze_limit == pytest.approx(oozed, rel=2e-3)


# --- what is not known --------------------------------------------------------------------------------------------

UNKNOWN_AIR = (
    "how much gas the paste holds is not known, and with it neither lag nor ooze. Measure it: weigh a cup of known volume, "
    "and take 1 - density/density without air; or fill the syringe, seal the tip and squeeze: the gas takes p/(p_0 + p) "
    "of its volume off the fill. 3 % is 0.03."
)


@pytest.mark.parametrize("air", [None, np.nan])
@pytest.mark.parametrize(
    "ask", [lambda air: rise(RIG, PASTE, FLOW, air), lambda air: Compression.of_paste(50 * mL, air)]
)
def test_gas_that_is_not_known_is_not_none(ask, air):
    with pytest.raises(rk.DataError) as caught:
        ask(air)
    assert str(caught.value) == f"Compression: air_content = {air}: {UNKNOWN_AIR}"


@pytest.mark.parametrize(
    "asked", ["first drop", "half flow", "99 %", "steady", "ooze", "ooze in the long run", "retraction"]
)
def test_what_rests_on_a_barrel_taken_as_rigid_is_a_lower_bound(asked):
    """Kind: exact. No compliance raises none of them, and the text says so; with a measured one they are numbers."""
    unknown, rigid, soft = (
        ASKED[asked](rise(replace(RIG, compliance=give), PASTE, FLOW, 0.03)) for give in (None, 0.0, 1e-12)
    )
    assert unknown == rigid < soft
    assert str(unknown).startswith(f"at least {float(rigid):.3g} ")
    assert (
        "(lower bound: how far barrel and plunger give way is not known; squeeze the sealed barrel full of water)"
        in str(unknown)
    )
    assert "lower bound" not in str(rigid) + str(soft)


# --- the demonstration --------------------------------------------------------------------------------------------


def test_the_demonstration_starts_and_stops():
    """Kind: regression. 50 mL of invented olive-stone paste, 3 % air, 23 mm³/s through 1.6 mm."""
    job = demonstration()
    assert job.pressure / kPa == pytest.approx(74, abs=0.5)
    assert job.first_drop == pytest.approx(16.0, abs=0.05)
    assert [job.half_flow, job.time_to(0.95), job.time_to(0.99)] == pytest.approx([27, 36, 41], abs=0.5)
    assert job.time_constant == pytest.approx(3.1, abs=0.05)
    assert job.steady == pytest.approx(job.lag + 5 * 3.07, abs=0.05)
    assert job.ooze_limit / mm3 == pytest.approx(264, abs=0.5)
    assert job.ooze([10, 60, 300]) / mm3 == pytest.approx([96, 171, 215], abs=0.5)
    assert job.retraction / mm3 == pytest.approx(633, abs=0.5)
    assert job.lag == pytest.approx(job.retraction / FLOW)


def test_more_bubbles():
    """Kind: regression. 1, 3 and 5 % of air at once: half flow after 9, 27, 45 s (short formula 9, 28, 46)."""
    job = demonstration(air=np.array([0.01, 0.03, 0.05]))
    assert job.half_flow == pytest.approx([9, 27, 45], abs=0.1)
    assert job.lag == pytest.approx([9.2, 27.5, 45.9], abs=0.06)
    assert job.ooze_limit / mm3 == pytest.approx([88, 264, 440], abs=0.5)
    assert job.ooze(10.0) / mm3 == pytest.approx([48, 96, 123], abs=0.5)
    assert job.retraction / mm3 == pytest.approx([211, 633, 1055], abs=0.5)


def test_rise_takes_fill_and_compliance_from_the_extruder():
    """Kind: exact. Air is a share of what fills the barrel."""
    job = rise(replace(RIG, compliance=1e-12), PASTE, FLOW, 0.03)
    gas = 0.03 * np.pi * (26.7 * mm) ** 2 / 4 * 60 * mm
    p = job.pressure
    assert job.retraction == pytest.approx(gas * p / (ATMOSPHERE + p) + 1e-12 * p, rel=1e-9)


def test_time_to_fill_an_empty_nozzle():
    """Kind: exact. A cone holds π L (D² + D d + d²)/12, a cylinder π L D²/4."""
    job = demonstration(extruder=TAPERED)
    volume = np.pi * (20 / 12 * (16 + 6.4 + 2.56) + 12 / 4 * 2.56) * mm3
    assert job.fill_time == pytest.approx(volume / FLOW)


def test_table_of_a_start():
    table = demonstration().table()
    assert list(table.columns) == ["time", "pressure", "flow_rate", "share"]
    assert np.all(np.diff(table.time) > 0)
    assert np.all(np.diff(table.pressure) > 0)
    assert table.time[table.share == 0.5].item() == pytest.approx(demonstration().half_flow)
    assert table.pressure[1] == pytest.approx(RIG.start_pressure(PASTE))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (
            lambda: Compression.of_paste(50 * mL, 3.0),
            "Compression: air_content = 3 must be from 0 to 1 (did you mean 3 %? That is 0.03).",
        ),
        (lambda: Compression(gas_volume=-1e-6), "Compression: gas_volume = -1e-06 m³ cannot be negative."),
        (lambda: demonstration(flow_rate=0.0), "Transient: flow_rate = 0 m³/s must be above 0 and finite."),
        (
            lambda: demonstration().time_to(1.0),
            "Transient.time_to: share = 1 must lie between 0 and 1; all of it takes for ever.",
        ),
        (lambda: demonstration().ooze(0.0), "Transient.ooze: after = 0 s must be a positive time."),
    ],
)
def test_messages(make, words):
    with pytest.raises(rk.DataError) as caught:
        make()
    assert str(caught.value) == words


# --- draws and intervals ------------------------------------------------------------------------------------------

ASKED = {
    "first drop": lambda job: job.first_drop,
    "half flow": lambda job: job.half_flow,
    "99 %": lambda job: job.time_to(0.99),
    "steady": lambda job: job.steady,
    "ooze": lambda job: job.ooze(10.0),
    "ooze in the long run": lambda job: job.ooze_limit,
    "retraction": lambda job: job.retraction,
    "fill": lambda job: job.fill_time,
}


@pytest.mark.slow
@pytest.mark.parametrize("asked", ASKED)
@pytest.mark.parametrize("rig", [RIG, SLIPPING], ids=["no slip", "slip"])
def test_draws_broadcast_through_everything(asked, rig):
    """Kind: independent. Draws (3, 1, 1) of the law against flows (4,) and airs (2, 1), at once and one by one."""
    yields, flows, airs = np.array([500.0, 650, 800]), np.array([5, 10, 20, 40]) * mm3, np.array([0.01, 0.05])

    def job(stress, flow, air):
        law = rk.HerschelBulkley(yield_stress=stress, consistency=210.0, flow_index=0.38)
        return rise(rig, law, flow, air)

    together = ASKED[asked](job(yields[:, None, None], flows, airs[:, None]))
    each = [[[ASKED[asked](job(y, q, a)) for q in flows] for a in airs] for y in yields]
    assert np.broadcast_to(together, (3, 2, 4)) == pytest.approx(np.array(each, float), rel=1e-7)


QUANTITIES = {
    "half flow": lambda law: rise(RIG, law, FLOW, 0.03).half_flow,
    "ooze": lambda law: rise(RIG, law, FLOW, 0.03).ooze(10.0),
    "oozes": lambda law: rise(RIG, law, FLOW, 0.03).ooze([10.0, 60.0]),
    "sensitivity": lambda law: RIG.flow_sensitivity(law, FLOW),
    "stiffer": lambda law: RIG.stiffer(law, 1.05, FLOW).flow_ratio,
    "flow": lambda law: RIG.flow_rate(law, 50.0),
    "slip": lambda law: SLIPPING.plunger_force(law, FLOW),
}


@pytest.fixture(scope="module")
def fitted():
    rates = np.geomspace(0.5, 300, 12)
    noise = np.exp(0.02 * np.random.default_rng(5).standard_normal(12))
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=PASTE.shear_stress(rates) * noise, relative_uncertainty=0.02)
    return rk.fit(rk.HerschelBulkley, curve)


@pytest.mark.slow
@OUTSIDE
@pytest.mark.filterwarnings("ignore::rheokit.errors.ExtrapolationWarning")
@pytest.mark.parametrize("asked", QUANTITIES)
def test_intervals(fitted, asked):
    """Kind: independent. The interval of a fit holds the value, and is about as wide as its joint draws."""
    found = fitted.interval(QUANTITIES[asked])
    assert np.all(np.less(found.low, found.value) & np.less(found.value, found.high))
    laws = fitted.sample_laws(2000, seed=1)
    drawn = np.quantile(QUANTITIES[asked](laws), [0.025, 0.975], axis=0)
    assert np.squeeze(np.subtract(found.high, found.low)) == pytest.approx(np.squeeze(drawn[1] - drawn[0]), rel=0.2)
