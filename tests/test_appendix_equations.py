"""Every number that a section of predictions prints has its equation in the appendix, and the code computes what stands there."""

import math
import warnings

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import i0, i1
from test_appendix_sections import appendix

import rheokit as rk
from rheokit.appendix.document import Table
from rheokit.appendix.formula_symbols import meaning, symbols_in
from rheokit.appendix.formulae_of_plan import limits_told_by, predicted_formulae
from rheokit.appendix.predicted_formulae import EVERY
from rheokit.appendix.predicted_symbols import ALIKE, APART, OF
from rheokit.appendix.sections import forces
from rheokit.appendix.sections.sources import formulae
from rheokit.appendix.study import Study
from rheokit.fibre.bath import bath_temperature_left
from rheokit.fibre.draw import winding_speed
from rheokit.fibre.thermal import needle_time_constant
from rheokit.machine.transients import rise
from rheokit.part.drying import drying_times, slab_time
from rheokit.part.shape import greatest_rise_speed, line_section
from rheokit.part.shrinkage import stated_shrinkage
from rheokit.units import STANDARD_GRAVITY, kPa, mm

LIMIT_OF = {
    "height at which the wall leans": "lean",
    "height at which the foot yields while it grows": "stack",
    "static yield stress that holds the section of a line": "line holds",
    "bridge that sags a twentieth of its diameter": "span",
    "bridge that first yields": "span",
    "longest bridge": "span",
    "crack index": "cracking",
    "a bare needle blocks after a pause of": "pause",
}
"""Numbers of the part and the fibre that the formula of a limit gives."""
TOGETHER = {
    "half of the flow": "half of the flow, and 95 % of the flow",
    "95 % of the flow": "half of the flow, and 95 % of the flow",
    "longest gap in the air": "longest gap, shortest bath, way on which it sets",
    "shortest bath": "longest gap, shortest bath, way on which it sets",
    "way in the air on which it sets": "longest gap, shortest bath, way on which it sets",
}
"""Numbers that share an equation."""
TABLES = ("forces", "start-and-stop", "standing", "drying", "winding")


def lacking(document):
    """Return the numbers of the tables of predictions whose equation does not stand in a document."""
    tables = {one.name: one for one in document.blocks() if isinstance(one, Table)}
    known = {(str(row[0]), str(row[1])) for row in tables["sources"].rows}
    out = []
    for name in TABLES:
        for row in tables[name].rows if name in tables else ():
            words = str(row[0])
            wanted = ("limit", LIMIT_OF[words]) if words in LIMIT_OF else (OF, TOGETHER.get(words, words))
            if wanted not in known:
                out.append(words)
    if "dry-size" in tables and (OF, "size to draw") not in known:
        out.append("size to draw")
    return out


@pytest.mark.slow
@pytest.mark.parametrize("name", ["olive-stone-paste", "porcelain-body", "agar-dope", "gelatin-dope-40", "kitchen"])
def test_every_number_of_the_predictions_has_its_equation(name):
    assert lacking(appendix(name)) == []


def test_every_symbol_of_the_equations_has_a_meaning_that_stands_somewhere():
    used = set()
    for one in EVERY:
        assert all(meaning(symbol, OF, one.name) for symbol in symbols_in(one.formula)), one
        assert {*APART.get(one.name, {})} <= {*symbols_in(one.formula)}, one
        used |= {*symbols_in(one.formula)} - {*APART.get(one.name, {})}
    assert {*ALIKE} <= used
    assert {*APART} <= {one.name for one in EVERY}


# --- the code computes what stands there --------------------------------------------------------------------------

LAW = rk.HerschelBulkley(yield_stress=440.0, consistency=152.0, flow_index=0.435)
BARREL, FILL, FRICTION, DRAG = 31.8 * mm, 70 * mm, 14.0, 0.9
WIDE, NARROW, TAPER, LAND = 8 * mm, 1.5 * mm, 16 * mm, 6 * mm
FLOW, AIR = 18.2 * mm**3, 0.05
RIG = rk.Extruder(
    barrel_diameter=BARREL,
    fill_length=FILL,
    plunger_friction=FRICTION,
    barrel_drag=DRAG,
    nozzle=rk.Nozzle(
        rk.Cone(inlet_diameter=WIDE, outlet_diameter=NARROW, length=TAPER), rk.Cylinder(diameter=NARROW, length=LAND)
    ),
)


def wall_stress(flow, diameter):
    """Return τ_w by 32 Q/(π D³) = (4/τ_w³) ∫ τ² γ̇(τ) dτ, as printed."""

    def rate(stress):
        return max(stress - 440.0, 0.0) ** (1 / 0.435) / 152.0 ** (1 / 0.435)

    def miss(stress):
        found = 4 / stress**3 * quad(lambda one: one**2 * rate(one), 440.0, stress, limit=200)[0]
        return found - 32 * flow / (math.pi * diameter**3)

    return brentq(miss, 440.0 * (1 + 1e-9), 1e5, xtol=1e-9)


def converging(flow, wide, narrow, angle):
    """Return Δp of converging flow as the appendix prints it."""
    n, K, ratio, R = 0.435, 152.0, wide / narrow, narrow / 2
    U = flow / (math.pi * R**2)
    V = 2 / (3 * n) * 3 ** ((n + 1) / 2) * K * (2 * U / R) ** n * (1 - ratio ** (-3 * n))
    viscous = 1.15 * (angle / (math.pi / 2)) ** (n**0.35) * V * (1 - math.sin(angle) / ratio**3)
    return viscous + 0.65 * (1 + 0.55 * angle) * 2 * math.sqrt(3) * 440.0 * math.log(ratio)


def pressure(flow):
    """Return p as printed: f_b 4 L_f τ_w/D_0 + Σ 4 L τ_w/D + Σ ∫ (4 τ_w/D) dL + Σ Δp."""
    angle = math.atan((WIDE - NARROW) / 2 / TAPER)
    along, _ = quad(
        lambda x: 4 * wall_stress(flow, WIDE + (NARROW - WIDE) * x / TAPER) / (WIDE + (NARROW - WIDE) * x / TAPER),
        0,
        TAPER,
        limit=100,
    )
    straight = DRAG * 4 * FILL * wall_stress(flow, BARREL) / BARREL + 4 * LAND * wall_stress(flow, NARROW) / NARROW
    return straight + along + converging(flow, BARREL, WIDE, math.pi / 2) + converging(flow, WIDE, NARROW, angle)


def start(stress):
    """Return p_start as printed."""
    angle = math.atan((WIDE - NARROW) / 2 / TAPER)
    ratio, step = WIDE / NARROW, BARREL / WIDE
    plastic = 0.65 * (1 + 0.55 * angle) * 2 * math.sqrt(3) * math.log(ratio)
    plastic += 0.65 * (1 + 0.55 * math.pi / 2) * 2 * math.sqrt(3) * math.log(step)
    return stress * (DRAG * 4 * FILL / BARREL + 4 * LAND / NARROW + 2 / math.tan(angle) * math.log(ratio) + plastic)


def test_pressure_and_force_are_those_of_their_equations():
    area = math.pi * BARREL**2 / 4
    assert RIG.pressure(LAW, FLOW) == pytest.approx(pressure(FLOW), rel=1e-6)
    assert RIG.plunger_force(LAW, FLOW) == pytest.approx(pressure(FLOW) * area + FRICTION, rel=1e-6)
    assert RIG.start_pressure(LAW, 1.3 * 440.0) == pytest.approx(start(1.3 * 440.0), rel=1e-9)
    assert RIG.start_force(LAW, 1.3 * 440.0, 21.0) == pytest.approx(start(1.3 * 440.0) * area + 21.0, rel=1e-9)
    assert RIG.start_force(LAW) == pytest.approx(start(440.0) * area + FRICTION, rel=1e-9)  # at least


def test_start_and_stop_are_those_of_their_equations():
    """S(p) = V_g p/(p_0 + p) + C_s p, with t = S(p(0))/Q + ∫ dS/(Q - q), and t = ∫ dS/q after the stop, by quadrature over S."""
    area, give = math.pi * BARREL**2 / 4, 2e-12
    rig = rk.Extruder(
        barrel_diameter=BARREL,
        fill_length=FILL,
        plunger_friction=FRICTION,
        barrel_drag=DRAG,
        nozzle=RIG.nozzle,
        compliance=give,
    )
    run = rise(rig, LAW, FLOW, AIR)

    def stored(flow):
        p = start(440.0) if flow == 0 else rig.channel.pressure_drop(LAW, flow)  # held to its own equation above
        return AIR * area * FILL * p / (101325.0 + p) + give * p

    assert run.first_drop == pytest.approx(stored(0.0) / FLOW, rel=1e-9)
    assert run.retraction / rig.area == pytest.approx(stored(FLOW) / area, rel=1e-9)
    flows = FLOW * np.concatenate([[0.0], np.geomspace(1e-9, 1, 4000)])
    volumes = np.array([stored(flow) for flow in flows])

    def integral(inverse, low, high):
        chosen = (flows >= low) & (flows <= high)
        return np.trapezoid(inverse(flows[chosen]), volumes[chosen])

    for share, found in ((0.5, run.half_flow), (0.95, run.time_to(0.95))):
        top = flows[np.argmin(abs(flows - share * FLOW))]
        expected = stored(0.0) / FLOW + integral(lambda flow: 1 / (FLOW - flow), 0.0, top)
        assert run.time_to(top / FLOW) == pytest.approx(expected, rel=2e-4)
        assert found == pytest.approx(expected, rel=0.01)
    outflow = flows[np.argmin(abs(flows - 0.4 * FLOW))]
    after = integral(lambda flow: 1 / flow, outflow, FLOW)
    assert run.ooze(after) == pytest.approx(stored(FLOW) - stored(outflow), rel=2e-4)


def test_drive_and_blocked_tip_are_those_of_their_equations():
    screw = rk.ScrewDrive(torque=0.22, lead=3 * mm, efficiency=0.3)
    blocked = rk.Extruder(barrel_diameter=BARREL, fill_length=FILL, nozzle=RIG.nozzle, drive=screw).blocked_pressure
    assert screw.force == pytest.approx(2 * math.pi * 0.22 * 0.3 / 3e-3, rel=1e-12)
    assert blocked == pytest.approx(screw.force / (math.pi * BARREL**2 / 4), rel=1e-12)
    air = rk.AirDrive(pressure=80 * kPa)
    assert air.available_force(2.0e-4) == pytest.approx(80e3 * 2.0e-4)


def test_part_drying_and_fibre_are_those_of_their_equations():
    assert line_section(2.1 * mm, 0.9 * mm) == pytest.approx((2.1 - 0.9) * 0.9e-6 + math.pi * 0.81e-6 / 4)
    weight = 1149 * STANDARD_GRAVITY
    grows = greatest_rise_speed(0.4, 578.0, 1149.0, build_up_rate=0.1, build_up_time=1e5, stack_factor=math.sqrt(3))
    assert grows == pytest.approx(0.1 / (weight / math.sqrt(3) - 578 / 0.4), rel=1e-3)
    scale = stated_shrinkage(0.08, 0.005).scale
    assert 50 * scale.high == pytest.approx(50 / (1 - 0.08 * math.exp(1.959964 * 0.005 / 0.08)), rel=1e-9)
    waters = {"start_water": 1.2, "critical_water": 0.5, "final_water": 0.1, "equilibrium_water": 0.05}
    times = drying_times(480 * 1.1e-3, 1.0, 3e-5, **waters)
    printed = 480 * 1.1e-3 / 3e-5 * (1.2 - 0.5 + (0.5 - 0.05) * math.log((0.5 - 0.05) / (0.1 - 0.05)))
    assert times.total == pytest.approx(printed, rel=1e-9)
    time = slab_time(0.2, 2e-10, 1.1e-3)
    terms = (
        math.exp(-((2 * i + 1) ** 2) * math.pi**2 * 2e-10 * time / 4 / 1.21e-6) / (2 * i + 1) ** 2 for i in range(9)
    )
    assert 8 / math.pi**2 * sum(terms) == pytest.approx(0.2, rel=1e-6)
    for held, power in ((True, 1.0), (False, 2 / 3)):
        found = winding_speed(0.1 * mm, flow_rate=2e-9, dry_section=0.12, held=held)
        assert found == pytest.approx(4 * 2e-9 * 0.12**power / (math.pi * 1e-8), rel=1e-9)
    needle = {"bore": 0.8 * mm, "outer_diameter": 1.3 * mm}
    printed = (4.1e6 * 0.64 + 3.95e6 * (1.69 - 0.64)) * 1e-6 / (4 * 25 * 1.3e-3)
    assert needle_time_constant(**needle, volumetric_heat=4.1e6) == pytest.approx(printed, rel=1e-9)
    b = (0.3e-3) ** 2 / (8 * 1.4e-7 * 0.05)
    left = bath_temperature_left(1.4e-7 * 0.05 / (0.15e-3) ** 2)
    assert left == pytest.approx(1 - math.exp(-b) * (i0(b) + i1(b)), rel=1e-9)


@pytest.mark.slow
def test_equations_follow_what_is_printed(tmp_path):
    """A bench without a machine has the least start alone, a limit is named once, and nothing is asked of a fibre that is no fibre."""
    with warnings.catch_warnings(action="ignore"):
        study = Study(rk.Workbook.open("data/olive-stone-paste"))
        rows = [tuple(row[:2]) for row in formulae(study)]
        assert len(rows) == len({*rows})
        names = [one.name for one in predicted_formulae(study)]
        assert "pressure to start after the rest" in names
        assert not {"winding speed for the dry diameter wanted", "force to start, at least"} & {*names}
        assert {*limits_told_by(study)} >= {"lean", "stack", "line holds", "hand force"}


def test_both_forces_of_a_hand_say_what_they_are_wherever_they_stand():
    """Published: Robinson et al. 2020: to 38 N the effort is considerable, to 64 N great; beyond, none injects."""
    rig = rk.Extruder(
        barrel_diameter=0.022,
        fill_length=0.08,
        plunger_friction=5.0,
        nozzle=rk.Nozzle(rk.Cylinder(diameter=2e-3, length=0.02)),
    )
    law = rk.Bingham(yield_stress=300.0, plastic_viscosity=2.0)
    job = rk.PrintJob(print_speed=0.01, layer_height=1.5e-3, line_width=2.4e-3)
    said = forces._bounds(rk.Case(paste=rk.Paste(law=law), extruder=rig, job=job), (0.0, 0.0, 0.0))
    assert "hand 38 N (what is asked of one hand; easy to 12 N, considerable to 38 N, great to 64 N" in said
    assert "beyond which none injects" in rk.limits.LIMITS["start after rest"].formula
