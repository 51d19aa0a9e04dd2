"""Invent the readings of the demonstration benches again, by ``python data/invent.py``.

Nobody measured any of these numbers: they are what a law predicts, with noise from a seeded generator. The laws, the noise
and the seeds stand here, so that a reader can see what a fit should find, and what was planted in the trap- folders.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np

import rheokit as rk
from rheokit.flow.channel import Slip
from rheokit.flow.gauges import needles
from rheokit.units import ATMOSPHERE, STANDARD_GRAVITY, g, kPa, minute, mL, mm, s

HERE = Path(__file__).parent
OLIVE = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
OLIVE_STATIC = 800.0
KITCHEN = rk.HerschelBulkley(
    yield_stress=176.0, consistency=57.0, flow_index=0.38
)  # the same at a water content of 1.45
PORCELAIN = rk.HerschelBulkley(yield_stress=2400.0, consistency=420.0, flow_index=0.35)
PORCELAIN_STATIC = 3000.0
# Pa·s at 45 °C, of 0.45 Pa·s at 60 °C and 42 kJ/mol
DOPE = rk.Newtonian(viscosity=0.45 * np.exp(42e3 / 8.314 * (1 / 318.15 - 1 / 333.15)))
SPEEDS = np.array([0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4]) * mm / s
WAITS = np.array([600, 400, 240, 150, 90, 60, 45.0])


def normals(seed):
    """Return standard normals that are the same on every machine."""
    return np.random.Generator(np.random.PCG64(seed))


def write(folder, name, header, rows, comment):
    """Write one CSV of readings with a line of comment that says they are invented."""
    lines = [f"# INVENTED for demonstration, nobody measured this. {comment}", header]
    lines += [", ".join(str(cell) for cell in row) for row in rows]
    (HERE / folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")


def syringe(land, law=OLIVE, fill=60 * mm, barrel=26.7 * mm, bore=2 * mm, drag=1.0, friction=8.0):
    """Return the syringe of the olive-stone paste, or one like it."""
    nozzle = rk.Nozzle(rk.Cylinder(diameter=bore, length=land))
    return rk.Extruder(
        barrel_diameter=barrel, fill_length=fill, plunger_friction=friction, barrel_drag=drag, nozzle=nozzle
    )


def olive_forces(seed):
    """Return forces [N] at SPEEDS for lands of 20 and 40 mm: 3 % on the paste's part, normals drawn row by row."""
    noise = normals(seed).standard_normal((len(SPEEDS), 2))
    forces = []
    for place, land in enumerate((20 * mm, 40 * mm)):
        rig = syringe(land)
        paste = rig.plunger_force(OLIVE, SPEEDS * rig.area) - 8.0
        forces.append(8.0 + paste * np.exp(0.03 * noise[:, place]))
    return forces


def rising(rig, force, flow, time, air):
    """Return the force read a time after the plunger was set off, while trapped air is still being compressed.

    Integrates (V_g p0/(p0 + P)²) dP/dt = Q - Q_out(P), the flow out from the law.
    """
    pressure, gas = 0.0, air * rig.area * rig.fill_length
    step = time / 4000
    steady = (force - rig.plunger_friction) / rig.area
    scale = steady / rig.pressure(OLIVE, flow)  # the row's own noise
    grid = np.linspace(0, steady * 1.2, 400)
    out = rig.flow_rate(OLIVE, grid / scale * rig.area + rig.plunger_friction)
    for _ in range(4000):
        compliance = gas * ATMOSPHERE / (ATMOSPHERE + pressure) ** 2
        pressure += step * (flow - np.interp(pressure, grid, out)) / compliance
    return pressure * rig.area + rig.plunger_friction


def write_forces(folder, forces, waits):
    """Write the forces of both lands, one CSV each."""
    for land, force in zip((20, 40), forces, strict=True):
        rows = [
            (f"{v / mm:g}", f"{f:.1f}", f"{w:g}", row + 1)
            for row, (v, f, w) in enumerate(zip(SPEEDS, force, waits, strict=True))
        ]
        write(
            folder,
            f"syringe-{land}-mm.csv",
            "plunger speed [mm/s], force [N], time [s], run order [-]",
            rows,
            f"Land {land} mm; time since the speed was set.",
        )


def write_plate(folder, law, random, force):
    """Write the radii of a loaded plate."""
    plate = rk.LoadedPlate(volume=5 * mL, force=force, radius=20 * mm)
    radii = plate.predict(law)[0] * np.exp(0.015 * random.standard_normal(3))
    write(
        folder,
        "loaded-plate.csv",
        "radius [mm]",
        [(f"{r / mm:.1f}",) for r in radii],
        "Mean radius after 120 s, three loadings.",
    )


def write_yield_tests(folder, law, static, seed, cone, cone_mass, cone_angle, slug_bore, plate_force):
    """Write fall cone, hanging slug and loaded plate."""
    random = normals(seed)
    write_plate(folder, law, random, plate_force)
    at_rest = replace(law, yield_stress=static)
    depths = rk.FallCone(mass=cone_mass, apex_angle=np.radians(cone_angle), penetration=10 * mm)
    depths = depths.predict(at_rest, {"static_ratio": 1.0})[0] * np.exp(0.02 * random.standard_normal(3))
    write(
        folder,
        "fall-cone.csv",
        "penetration [mm]",
        [(f"{d / mm:.1f}",) for d in depths],
        f"{cone}, released from contact, read after 5 s.",
    )
    slug = rk.HangingSlug(bore=slug_bore, mass=1 * g)
    masses = slug.predict(at_rest, {"static_ratio": 1.0})[0] * np.exp(0.06 * random.standard_normal(8))
    write(
        folder,
        "hanging-slug.csv",
        "mass [g]",
        [(f"{m / g:.2f}",) for m in masses],
        "Slugs that dropped off a 2.4 mm nozzle.",
    )


def write_properties(folder, seed):
    """Write what a student measures besides the flow: cup, leaning walls, bars and dishes to dry, sieves."""
    random = normals(seed)
    masses = 1110 * 100 * mL / g * np.exp(0.004 * random.standard_normal(3))
    write(folder, "cup-density.csv", "mass [g]", [(f"{m:.1f}",) for m in masses], "Three fillings of the cup, tared.")
    heights = 14.5 * np.exp(0.04 * random.standard_normal(4))
    write(
        folder,
        "lean-height.csv",
        "height [mm]",
        [(f"{h:.1f}",) for h in heights],
        "Walls one line wide, printed until they leaned.",
    )
    for axis, wet, shrinkage in (("xy", 50.0, 0.08), ("z", 30.0, 0.11)):
        wets = wet + 0.1 * random.standard_normal(4)
        dries = wets * (1 - shrinkage) + 0.15 * random.standard_normal(4)
        rows = [(f"{w:.1f}", f"{d:.1f}") for w, d in zip(wets, dries, strict=True)]
        write(
            folder,
            f"shrinkage-{axis}.csv",
            "wet length [mm], dry length [mm]",
            rows,
            "Between marks, just printed and at constant mass.",
        )
    tares = 21.5 + 0.2 * random.standard_normal(3)
    pastes = 10 + 0.5 * random.standard_normal(3)
    contents = 1.045 * np.exp(0.008 * random.standard_normal(3))
    rows = [
        (f"{t:.2f}", f"{t + p:.2f}", f"{t + p / (1 + u):.2f}") for t, p, u in zip(tares, pastes, contents, strict=True)
    ]
    header = "tare mass [g], wet mass [g], dry mass [g]"
    write(folder, "oven-moisture.csv", header, rows, "65 °C in vacuum to constant mass: at 105 °C the flour chars.")
    rows = [(355, 0), (250, 0), (180, 10.1), (125, 22.4), (90, 19.0), (63, 16.2), (0, 31.9)]
    write(
        folder,
        "sieve.csv",
        "aperture [um], retained mass [g]",
        rows,
        "One sieving of 100 g of dry flour; 0 is the pan.",
    )


def caught(law, bores, pressures, seed, slip=None):
    """Return caught masses [g in 30 s] for each bore and pressure, 4 % noise: air on the plunger of a 38 mm barrel."""
    noise = normals(seed).standard_normal((len(bores), len(pressures)))
    masses = []
    for row, bore in enumerate(bores):
        rig = syringe(10 * bore, law, fill=50 * mm, barrel=38 * mm, bore=bore, drag=0.5, friction=0.0)
        run = rk.ForceRun(
            extruder=rig,
            flow_rate=1e-9,
            force=pressures * rig.area,
            read="flow_rate",
            slip="fitted" if slip else "none",
        )
        found = (
            {}
            if slip is None
            else {run.shared("slip_coefficient"): slip.coefficient, run.shared("slip_threshold"): slip.threshold}
        )
        masses.append(run.predict(law, found) * 1762 * 30 / g * np.exp(0.04 * noise[row]))
    return masses


def write_masses(folder, bores, pressures, masses):
    """Write the masses caught under air, one CSV a bore."""
    for bore, mass in zip(bores, masses, strict=True):
        rows = [
            (f"{p / kPa:g}", f"{m:.2f}" if m < 10 else f"{m:.1f}", 30) for p, m in zip(pressures, mass, strict=True)
        ]
        write(
            folder,
            f"air-{bore / mm:g}-mm.csv",
            "gauge pressure [kPa], caught mass [g], catch time [s]",
            rows,
            f"Bore {bore / mm:g} mm, land ten bores long.",
        )


def write_weights(folder, law, seed):
    """Write the flows [mL/min] of a liquid through a long needle under four weights less friction: 4 % noise.

    The normals are one row for each of 60, 45 and 38 °C; the bench holds the middle one.
    """
    noise = normals(seed).standard_normal((3, 4))[1]
    rig = syringe(25 * mm, fill=60 * mm, barrel=20.1 * mm, bore=0.84 * mm, friction=3.5)
    loads = np.array([0.5, 0.75, 1.0, 1.5])
    flows = rig.flow_rate(law, loads * STANDARD_GRAVITY) / (mL / minute) * np.exp(0.04 * noise)
    rows = [(f"{load:g}", f"{flow:.3f}") for load, flow in zip(loads, flows, strict=True)]
    comment = "Needle 0.84 mm x 25 mm at 45 °C, weights on the plunger."
    write(folder, "weights.csv", "load mass [kg], flow rate [mL/min]", rows, comment)


def write_kitchen(folder, law, seed):
    """Write what a kitchen reads of a soft paste: everything rounded as its scale, its ruler and its watch show it."""
    random = normals(seed)
    needle, tip = needles().loc[15], rk.Cylinder(diameter=2.8 * mm, length=9 * mm)
    bore = needle.bore - 0.5 * needle.bore_tolerance  # of the needle in hand, which nobody measured
    nozzle = rk.Nozzle(tip, rk.Cylinder(diameter=bore, length=25.4 * mm))
    rig = rk.Extruder(barrel_diameter=20.1 * mm, fill_length=60 * mm, plunger_friction=3.8, nozzle=nozzle)
    creeps = np.round((3.8 / STANDARD_GRAVITY - 0.045) / (10 * g) * np.exp(0.04 * random.standard_normal(3))) * 10
    write(
        folder,
        "empty.csv",
        "added mass [g]",
        [(f"{m:.0f}",) for m in creeps],
        "Water in the bottle, by tens of grams, until it creeps.",
    )
    cups = 1100 * 100 * mL / g * np.exp(0.004 * random.standard_normal(3))
    write(folder, "cup.csv", "mass [g]", [(f"{m:.0f}",) for m in cups], "Three fillings of the cup, tared.")
    water = np.array([1480, 1750, 2010, 2290, 2640, 3020])
    waits = np.array([600, 240, 120, 75, 60, 40])
    flows = rig.flow_rate(law, (water * g + 0.045) * STANDARD_GRAVITY) * np.exp(0.03 * random.standard_normal(6))
    masses = 1100 * flows * (waits + 0.3 * random.standard_normal(6)) / g
    rows = [(f"{w}", f"{m:.0f}", f"{t}") for w, m, t in zip(water, masses, waits, strict=True)]
    header = "added mass [g], caught mass [g], catch time [s]"
    write(
        folder,
        "bottle.csv",
        header,
        rows,
        "Water in the bottle on the plunger; paste caught on the scale, time by hand.",
    )
    plate = rk.LoadedPlate(volume=10 * mL, force=9.81, radius=30 * mm)
    radii = plate.predict(law)[0] * np.exp(0.015 * random.standard_normal(3))
    write(
        folder,
        "plate.csv",
        "radius [mm]",
        [(f"{r / mm:.0f}",) for r in radii],
        "Mean radius after 120 s, three loadings.",
    )
    write(
        folder, "strainer.csv", "aperture [mm], retained mass [g]", [(0.25, 0), (0, 100)], "100 g of flour: all passed."
    )


def main():
    """Write every CSV; the bench.toml beside them are written by hand."""
    forces = olive_forces(20251)
    write_forces("olive-stone-paste", forces, WAITS)
    write_yield_tests("olive-stone-paste", OLIVE, OLIVE_STATIC, 20255, "60 g, 60 degrees", 60 * g, 60, 2.4 * mm, 9.81)
    write("olive-stone-paste", "slump.csv", "slump [mm]", [("<2",)], "It stood: no slump to be seen.")

    write_properties("olive-stone-paste", 20258)

    early = [np.array(force) for force in forces]
    for land, force in zip((20 * mm, 40 * mm), early, strict=True):
        rig = syringe(land)
        for row in (0, 1):
            force[row] = rising(rig, force[row], SPEEDS[row] * rig.area, 60.0, air=0.034)
    write_forces("trap-transient-rows", early, np.where(np.arange(7) < 2, 60.0, WAITS))

    write_plate("trap-transient-rows", OLIVE, normals(20255), 9.81)

    random, rig = normals(20256), syringe(20 * mm)
    stroke = np.linspace(0, 50, 11) * mm
    rows = []
    for order, z in enumerate(stroke):
        now = replace(rig, fill_length=60 * mm - z)
        paste = now.plunger_force(OLIVE, 0.05 * mm * rig.area) - 8.0
        force = 8.0 + paste * (1 + 0.15 * z / stroke[-1]) * np.exp(0.01 * random.standard_normal())
        rows.append((0.05, f"{force:.1f}", f"{z / mm:g}", order + 1))
    header = "plunger speed [mm/s], force [N], stroke [mm], run order [-]"
    write("trap-migration", "one-stroke.csv", header, rows, "One slow stroke at one speed with a thin liquid phase.")
    write_forces("trap-migration", forces, WAITS)
    write_plate("trap-migration", OLIVE, normals(20255), 9.81)

    bores = np.array([2, 3, 4]) * mm
    pressures = np.array([180, 200, 225, 250, 300, 350]) * kPa
    write_masses("porcelain-body", bores, pressures, caught(PORCELAIN, bores, pressures, 20254))
    write_yield_tests(
        "porcelain-body", PORCELAIN, PORCELAIN_STATIC, 20257, "80 g, 30 degrees", 80 * g, 30, 2.4 * mm, 49.05
    )
    slipping = np.array([120, 160, 200, 250, 300, 350]) * kPa
    slip = Slip(coefficient=1.2e-6, threshold=800.0)
    write_masses("trap-plug-slip", bores, slipping, caught(PORCELAIN, bores, slipping, 20252, slip))
    write_plate("trap-plug-slip", PORCELAIN, normals(20257), 49.05)

    write_weights("gelatin-dope", DOPE, 20253)
    write_kitchen("kitchen", KITCHEN, 20259)


if __name__ == "__main__":
    main()
