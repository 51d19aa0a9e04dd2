"""Equations of the numbers that the sections of predictions print, beside those of law, tests and limits: one a number, by its name there.

Each is written as the rooms below compute it: force and pressure `machine.extruder`, start and stop `machine.transients`, the part `part.shape`, `part.shrinkage`
and `part.drying`, the fibre `fibre`. Tests compute them as they stand here, and hold the numbers of those rooms to it.
"""

from __future__ import annotations

from typing import NamedTuple

from ..flow.converging import OF_ANGLE, PLASTIC
from ..flow.nozzles import SHEAR_FORMULA
from ..limits import LIMITS
from ..part.shrinkage import PACKING, WATER_DENSITY
from ..units import ATMOSPHERE

WHERE = "The equation of each number stands under “Sources of the formulae”, rows “prediction” and “limit”, its symbols under “Symbols”."
BALANCE, BOYLE = (
    "force balance on the plunger",
    "Boyle's law, isothermal (from memory), elastic barrel; balance of volumes",
)


UNHELD = "-"
"""Of an equation that no test computes as it stands: the tests of its room hold it."""
RUNS, STARTS = (LIMITS[name].example[0].source for name in ("drive force", "start after rest"))


class Formula(NamedTuple):
    """The equation of a number that is predicted: its name in the tables, the equation, where it is from, and how the tests hold the code to it."""

    name: str
    formula: str
    source: str
    held: str = "computed as it stands here"


FLOW = Formula("flow of the print", "Q = v A, A = (w - h) h + π h²/4", "balance of volumes; a line with round sides")
PRESSURE = Formula(
    "pressure at the plunger face to run",
    f"p = f_b 4 L_f τ_w/D_0 + Σ 4 L τ_w/D + Σ ∫ (4 τ_w/D) dL + Σ Δp of barrel, lands, tapers, and steps and tapers again, {SHEAR_FORMULA.partition(', ')[2]} "
    "with the D of each place, Δp that of converging flow",
    "shear flow: Weissenberg and Rabinowitsch (from memory); a taper as a row of short tubes (lubrication)",
    RUNS,
)
SLIP = Formula(
    "slip in the land",
    "32 Q/(π D³) = (4/τ_w³) ∫ τ² γ̇(τ) dτ + 8 V_s/D, V_s = β max(0, τ_w - τ_s), in the last land",
    "Mooney (from memory)",
    UNHELD,
)
FORCE = Formula("force to run", "F = p A_0 + F_f, A_0 = π D_0²/4", BALANCE)
NEXT = Formula(
    "force to run of the next batch",
    f"F = p A_0 exp({LIMITS['drive force'].model_error:g} z) + F_f, p of each draw with its own law, next batch, friction and bore",
    f"{BALANCE}; error of the formula of a nozzle: common practice, no source",
    UNHELD,
)
START_PRESSURE = Formula(
    "pressure to start after the rest",
    f"p_start(τ_ys) = τ_ys [f_b 4 L_f/D_0 + Σ 4 L/D + Σ (2/tan α) ln ρ + Σ {PLASTIC:g} (1 + {OF_ANGLE:g} α) 2√3 ln ρ] of barrel, lands, tapers, and steps and "
    "tapers again, τ_ys = r τ_y",
    "force balance at rest; plastic work of converging flow by finite elements computed for the project",
    STARTS,
)
START_FORCE = Formula(
    "force to start after the rest",
    "F = p_start(τ_ys) A_0 + F_break-loose, with F_f for F_break-loose where that is not known",
    f"{BALANCE} at rest",
)
LEAST_START = Formula(
    "force to start, at least",
    "F = p_start(τ_y) A_0 + F_f, p_start as after the rest",
    f"{BALANCE} at rest, by the dynamic yield stress",
)
STORED = Formula(
    "volume that a pressure stores",
    f"S(p) = V_g p/(p_0 + p) + C_s p, V_g = ε_a A_0 L_f, p_0 = {ATMOSPHERE / 1e3:g} kPa; C_s = 0, for a lower bound, where it is not known",
    BOYLE,
)
DROP = Formula(
    "first drop after the start",
    "t = S(p(0))/Q, p(q) the pressure to run at an outflow q, with τ_y at q = 0",
    BOYLE,
)
SOLVED = "dS/dt = Q - q, and -q after the stop, stepped by a stiff solver: 0.1 %; closed forms of a Newtonian liquid and of Q ∝ p²"
RISE = Formula(
    "half of the flow, and 95 % of the flow",
    "t = S(p(0))/Q + ∫ dS/(Q - q) from S(p(0)) to S(p(f Q)), f = 0.5 and f = 0.95",
    BOYLE,
    SOLVED,
)
OOZE = Formula(
    "ooze in 10 s after a stop, without drawing back",
    "V_o = S(p(Q)) - S(p(q)), q that at which t = ∫ dS/q from S(p(q)) to S(p(Q)) is the time after the stop",
    BOYLE,
    SOLVED,
)
BACK = Formula("plunger to draw back so that nothing oozes", "x = S(p(Q))/A_0", BOYLE)
SCREW = Formula("greatest force of the drive", "F_drive = 2π M η_s/l", "work of a turn of the screw: a balance")
AIR = Formula("greatest force of the drive", "F_drive = p_regulator A_0", BALANCE)
BLOCKED = Formula(
    "pressure at a blocked tip",
    "p = F_drive/A_0, and (F_drive - F_f)/A_0 while the plunger glides",
    f"{BALANCE} without flow",
)
LAID = Formula("static yield stress as it is laid", "τ_ys = r τ_y", "definition of the static ratio")
RISES = Formula(
    "greatest speed at which it may grow",
    "v = A/(ρ g/k - τ_ys/H), 0 where k (τ_ys + A t_b) < ρ g H, no limit where k τ_ys ≥ ρ g H",
    "as the limit stack, solved for its speed",
    UNHELD,
)
MIXED = Formula(
    "yield stress and density of the paste as mixed",
    "ln τ_y = a - b u, ρ = (1 - ε_a) (1 + u)/(1/ρ_s + u/ρ_w), and of a measured density its ratio to that at the water it was "
    "measured at",
    f"straight line through the readings; volumes of the ingredients add up: a balance, ρ_w {WATER_DENSITY:g} kg/m³",
    UNHELD,
)
SIZE = Formula(
    "size to draw",
    "l_w = l_d/(1 - S), limits by S exp(±1.96 u/S)",
    "definition of shrinkage on the wet length; limits at equal ratios",
)
SHRUNK = Formula(
    "share of the wet mass at which it has shrunk",
    f"(1 + u_cr)/(1 + u_0), u_cr = ρ_w (1/φ_d - 1 - ε_a/φ_w)/ρ_s, not drier than u_f; limits by φ_d exp(±1.96 · {PACKING:g})",
    f"balance of masses, ρ_w {WATER_DENSITY:g} kg/m³; pores of the dry part full of water but for the air; error of φ_d: common practice, no source",
    UNHELD,
)
OPEN = Formula(
    "time to dry in the open",
    "t = (ρ_d b/j) [u_0 - u_cr + (u_cr - u_e) ln((u_cr - u_e)/(u_f - u_e))] where u_f < u_cr < u_0",
    "constant, then falling rate: Coulson and Richardson vol. 2 ch. 16; Geankoplis sec. 9.7 (from memory)",
)
FLUX = Formula(
    "drying flux in the air of a room",
    "j = (h_c/β) [ρ_v(T_s) - RH ρ_v(T)], (h_c + h_r) (T - T_s) = j h_fg, RH the relative humidity",
    "balance of a wet bulb with radiation, β 1090 J/(m³·K), h_r 5.5 W/(m²·K): Chilton and Colburn (from memory)",
    UNHELD,
)
DIFFUSES = Formula(
    "time by diffusion alone",
    "(u_f - u_e)/(u_0 - u_e) = (8/π²) Σ exp(-(2 i + 1)² π² D_e t/(4 b²))/(2 i + 1)², i from 0",
    "Crank, The Mathematics of Diffusion, sec. 4.3 (from memory)",
)
WOUND = Formula(
    "winding speed for the dry diameter wanted",
    "v_w = 4 Q φ_f/(π d_d²) held on the drum, 4 Q φ_f^⅔/(π d_d²) loose",
    "mass balance",
)
ENDS = Formula(
    "longest gap, shortest bath, way on which it sets",
    "L_g the greatest at which even draw, beads and taut thread hold; L_b, and L_g without bath, the least at which set before winding holds",
    "by halving between the ends that are looked at, from the limits of these names",
    UNHELD,
)
HEATED = Formula(
    "temperature along a heated nozzle",
    "T_e = T_n + (T_b - T_n) θ, θ the share left at π a L/(4 Q), of a parabolic profile, or of a plug where the law has τ_y",
    "Graetz 1883 (from memory)",
    UNHELD,
)
BARE = Formula(
    "temperature along a bare needle",
    "T_e = T_a + (T_b - T_a) exp(-h π d_o L/(ρ c Q))",
    "balance of heat; h 25 W/(m²·K): natural convection and radiation (from memory)",
    UNHELD,
)
NEEDLE = Formula(
    "time constant of a bare needle",
    "[ρ c D² + C_w (d_o² - D²)]/(4 h d_o), by which T falls to T_a while nothing flows",
    "balance of heat; h 25 W/(m²·K): natural convection and radiation (from memory); steel 3.95 MJ/(m³·K)",
)
COOLS = Formula(
    "temperature of the fibre in the air",
    "dT/dt = -[T - T_a + (h_fg/β) (a_w ρ_v(T) - RH ρ_v(T_a))] 4 h/(ρ c d), h d/λ = 0.42 Re^0.334 [1 + (8 v_c/v)²]^0.167, RH the relative humidity",
    "balance of heat, β 1090 J/(m³·K); Kase and Matsuo, Journal of Polymer Science A 3 (1965) 2541 (from memory)",
    UNHELD,
)
BATHED = Formula(
    "temperature of the fibre in a bath",
    "(T - T_l)/(T_0 - T_l) = 1 - exp(-b) [I_0(b) + I_1(b)], b = d²/(8 a t)",
    "a cylinder in a bath at rest of its own conductivity and heat capacity: balance of heat, derived for rheokit",
)
SETS = Formula(
    "how far the fibre has set",
    "s = ∫ dt/t_set(T), t_set as of set before winding",
    "progress adds up (Scheil): common practice, no source",
    UNHELD,
)
THINS = Formula(
    "diameter of the fibre along its way",
    "d = (4 Q/(π v))^½, v = v_0 D_R^(x/L_g) where the law has τ_y, else by thread speeds at the viscosity of the draw under weight, inertia and γ",
    "mass balance; force balance of a thread, computed for the project",
    UNHELD,
)
EVERY = (
    FLOW, PRESSURE, SLIP, FORCE, NEXT, START_PRESSURE, START_FORCE, LEAST_START, STORED, DROP, RISE, OOZE, BACK, SCREW, AIR, BLOCKED, LAID, RISES, MIXED, SIZE,
    SHRUNK, OPEN, FLUX, DIFFUSES, WOUND, ENDS, HEATED, BARE, NEEDLE, COOLS, BATHED, SETS, THINS,
)  # fmt: skip
"""All of them: a test asks the meaning of every symbol."""
