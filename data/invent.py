"""Invent the readings of the demonstration benches again, by ``python data/invent.py``.

Nobody measured any of these numbers: they are what a law predicts, with noise from a seeded generator. The laws, the noise
and the seeds stand here, so that a reader can see what a fit should find, and what was planted in the trap- folders.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np

import rheokit as rk
from rheokit.fibre import drop_mass, time_to_set, wet_diameter
from rheokit.flow.channel import Slip
from rheokit.flow.gauges import needles
from rheokit.units import ATMOSPHERE, STANDARD_GRAVITY, g, hour, kPa, minute, mL, mm, s

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
WARM = rk.heated(rk.Newtonian)(viscosity=0.9198, activation_energy=42e3)  # the same dope at any temperature
DOPE_40 = rk.heated(rk.Newtonian)(viscosity=6.4531, activation_energy=45e3)  # at 45 °C; 3.0 Pa·s at 60 °C
DOPE_40_GEL = {"gel_temperature": 306.15, "setting_time": 3.0, "setting_exponent": 2.0}
AGAR = rk.heated(rk.PowerLaw, reference_temperature=328.15)(consistency=2.2, flow_index=0.82, activation_energy=26e3)
AGAR_GEL = {"gel_temperature": 311.15, "setting_time": 1.2, "setting_exponent": 1.7}
SERIES = rk.aged(rk.watered(rk.HerschelBulkley, reference_water=1.045), reference_age=12 * hour)(
    yield_stress=650.0, consistency=210.0, flow_index=0.38, water_slope=3.23, age_exponent=0.08
)  # the olive-stone paste of batch A, at other waters and ages
SERIES_SPREAD = 0.06  # sd of ln stress from batch to batch of the series
ZERO = 273.15  # °C in K
ROOM = 295.15
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


def warm_syringe(bore, land, friction):
    """Return the 20 mL syringe of the dopes."""
    return syringe(land, fill=60 * mm, barrel=20.1 * mm, bore=bore, friction=friction)


def write_warm_weights(folder, law, rig, celsius, loads, random, needle):
    """Write the flows [mL/min] under weights at temperatures, one CSV each, the needle as warm as the barrel: 4 % noise."""
    for degrees in celsius:
        flows = rig.flow_rate(law.at(temperature=ZERO + degrees), loads * STANDARD_GRAVITY)
        flows = flows / (mL / minute) * np.exp(0.04 * random.standard_normal(len(loads)))
        write(
            folder,
            f"weights-{degrees}.csv",
            "load mass [kg], flow rate [mL/min]",
            [(f"{load:g}", f"{flow:.3f}") for load, flow in zip(loads, flows, strict=True)],
            f"{needle} at {degrees} °C, warmed like the barrel, weights on the plunger.",
        )


def write_setting(folder, gel, melt, celsius, random):
    """Write the temperatures at which a gel stops and starts to flow, and how long it takes to set below: 0.4 K and 10 %."""
    for name, middle in (("tube-cooling", gel["gel_temperature"]), ("tube-warming", melt)):
        rows = [(f"{t:.1f}",) for t in middle - ZERO + 0.4 * random.standard_normal(3)]
        write(folder, f"{name}.csv", "transition temperature [°C]", rows, "Tilted tube, a kelvin a minute, three runs.")
    rows = []
    for degrees in celsius:
        times = time_to_set(ZERO + degrees, **gel) * np.exp(0.1 * random.standard_normal(2))
        rows += [(degrees, f"{t:.1f}") for t in times]
    header = "temperature [°C], setting time [s]"
    write(folder, "setting-time.csv", header, rows, "Straw 2 mm wide in a bath, until its middle no longer moved.")


def write_drops(folder, tension, density, random):
    """Write the mass of twenty drops from a 3 mm tip: 2 % noise on a weighing."""
    one = drop_mass(outer_diameter=3 * mm, density=density, surface_tension=tension)
    rows = [(f"{m:.3f}", 20) for m in 20 * one / g * np.exp(0.02 * random.standard_normal(3))]
    write(folder, "drops.csv", "drops mass [g], drops [-]", rows, "Slower than one in five seconds.")


def write_thread(folder, flow_rate, winding_speed, density, dry_density, section, random):
    """Write the masses of 100 turns on a 60 mm drum, wet and dry, of a thread that keeps a share of its section: 2 % noise on each."""
    length = 100 * np.pi * 60 * mm
    wet = wet_diameter(flow_rate=flow_rate, winding_speed=winding_speed)
    volume = np.pi * wet**2 / 4 * length
    rows = [
        (f"{density * volume / g * a:.2f}", f"{dry_density * section * volume / g * b:.3f}")
        for a, b in np.exp(0.02 * random.standard_normal((3, 2)))
    ]
    write(
        folder,
        "thread.csv",
        "wet mass [g], dry mass [g]",
        rows,
        "Wet: caught from the nozzle in the time of 100 turns.",
    )


def write_dope_40(seed):
    """Write the bench of the thick gelatin dope that is drawn to a thread."""
    random, folder = normals(seed), "gelatin-dope-40"
    rig = warm_syringe(0.84 * mm, 12.7 * mm, friction=3.7)
    loads = np.array([0.75, 1.0, 1.5, 2.0])
    write_warm_weights(folder, DOPE_40, rig, (60, 50, 42), loads, random, "Needle 0.84 mm x 12.7 mm")
    drain = rk.TimedDrain(
        extruder=replace(warm_syringe(3 * mm, 10 * mm, 0.0), fill_length=0.0),
        density=1127.0,
        start_level=90 * mm,
        end_level=60 * mm,
        drain_time=np.ones(4),
        temperature=ZERO + np.array([60, 60, 50, 50]),
    )
    times = drain.predict(DOPE_40) * np.exp(0.015 * random.standard_normal(4))
    rows = [(f"{t - ZERO:.0f}", f"{time:.0f}") for t, time in zip(drain.temperature, times, strict=True)]
    write(
        folder,
        "drain.csv",
        "temperature [°C], drain time [s]",
        rows,
        "Plunger out, tip 3 mm x 10 mm, from 90 to 60 mm.",
    )
    write_setting(folder, DOPE_40_GEL, ZERO + 36, (30, 28, 24), random)
    write_drops(folder, 0.05, 1127.0, random)
    write_thread(folder, 10 * mm**3, 142.6 * mm, 1127.0, 1286.0, 0.448, random)


def write_agar(seed):
    """Write the bench of a plant-based dope that sets sharply and melts far above."""
    random, folder = normals(seed), "agar-dope"
    rig = warm_syringe(0.84 * mm, 25 * mm, friction=3.7)
    loads = np.array([0.6, 0.8, 1.2, 1.8])
    write_warm_weights(folder, AGAR, rig, (65, 55, 47), loads, random, "Needle 0.84 mm x 25 mm")
    ball = rk.FallingBall(
        ball_diameter=3 * mm,
        ball_density=2500.0,
        tube_diameter=30 * mm,
        density=1040.0,
        speed=np.ones(3),
        temperature=ZERO + 55,
    )
    speeds = ball.predict(AGAR) / mm * np.exp(0.02 * random.standard_normal(3))
    write(
        folder,
        "ball.csv",
        "speed [mm/s]",
        [(f"{v:.2f}",) for v in speeds],
        "Glass ball 3.00 mm in a tube of 30 mm, 55 °C.",
    )
    write_setting(folder, AGAR_GEL, ZERO + 84, (36, 34, 31), random)
    write_drops(folder, 0.055, 1040.0, random)


def through_a_cold_needle(rig, force, celsius, tip=None):
    """Return the flow [m3/s] that a force drives where the air of the room cools a bare needle 1.27 mm wide along its way.

    The barrel keeps its temperature; `tip` is that of the whole needle where it has rested [K].
    """
    needle = rig.nozzle.segments[-1]
    along = (np.arange(50) + 0.5) / 50 * needle.length
    start, heat = ZERO + celsius, 1090.0 * 3300.0

    def pressure(flow):
        cooled = ROOM + (start - ROOM) * np.exp(-25 * np.pi * 1.27 * mm * along / (heat * flow))
        viscosity = WARM.at(temperature=cooled if tip is None else tip).shear_stress(1.0)
        land = 128 * np.mean(viscosity) * needle.length * flow / (np.pi * needle.diameter**4)
        warm = rig.pressure(WARM.at(temperature=start), flow) - needle.pressure_drop(WARM.at(temperature=start), flow)
        return land + warm

    low, high = 1e-12, 1e-6
    for _ in range(60):
        middle = np.sqrt(low * high)
        low, high = (middle, high) if pressure(middle) * rig.area + rig.plunger_friction < force else (low, middle)
    return low


def write_cooling_needle(seed):
    """Write weights at 60 and 45 °C with a warm needle, and at 38 °C with a bare one that rested a minute before each row.

    What rested comes out first: half of the catch at the temperature of the rested needle, half as it flows on.
    """
    random, folder = normals(seed), "trap-cooling-needle"
    rig = warm_syringe(0.84 * mm, 25 * mm, friction=3.7)
    loads = np.array([0.5, 0.75, 1.0, 1.5])
    write_warm_weights(folder, WARM, rig, (60, 45), loads, random, "Needle 0.84 mm x 25 mm")
    tip = ROOM + (ZERO + 38 - ROOM) * np.exp(-60 / 48.2)
    flows = [
        (
            through_a_cold_needle(rig, load * STANDARD_GRAVITY, 38, tip)
            + through_a_cold_needle(rig, load * STANDARD_GRAVITY, 38)
        )
        / 2
        for load in loads
    ]
    flows = np.array(flows) / (mL / minute) * np.exp(0.04 * random.standard_normal(len(loads)))
    rows = [(f"{load:g}", f"{flow:.3f}", 60) for load, flow in zip(loads, flows, strict=True)]
    header = "load mass [kg], flow rate [mL/min], rest [s]"
    write(
        folder,
        "weights-38.csv",
        header,
        rows,
        "The same needle at 38 °C, its jacket off, a minute of rest before each weight.",
    )
    points = [(f"{t:.1f}",) for t in 31 + 0.4 * random.standard_normal(3)]
    write(
        folder, "tube-cooling.csv", "transition temperature [°C]", points, "Tilted tube, a kelvin a minute, three runs."
    )


def write_series(seed):
    """Write a syringe run and a loaded plate of six batches of olive-stone paste: three waters, each two and twenty-four hours old."""
    random, rig = normals(seed), syringe(20 * mm)
    speeds = SPEEDS[[0, 2, 4, 6]]
    for place, (water, age) in enumerate((u, t) for u in (0.95, 1.045, 1.15) for t in (2, 24)):
        batch = "BCDEFG"[place]
        law = SERIES.at(water_content=water, age=age * hour)
        law = rk.Shifted(law, np.exp(SERIES_SPREAD * random.standard_normal()))
        paste = rig.plunger_force(law, speeds * rig.area) - 8.0
        forces = 8.0 + paste * np.exp(0.03 * random.standard_normal(len(speeds)))
        rows = [(f"{v / mm:g}", f"{f:.1f}") for v, f in zip(speeds, forces, strict=True)]
        said = f"Batch {batch}: water {water:g} of the dry mass, {age} h old"
        write(
            "olive-stone-series",
            f"syringe-{batch}.csv",
            "plunger speed [mm/s], force [N]",
            rows,
            f"{said}; land 20 mm.",
        )
        plate = rk.LoadedPlate(volume=5 * mL, force=9.81, radius=20 * mm)
        radii = plate.predict(law)[0] * np.exp(0.015 * random.standard_normal(3))
        rows = [(f"{r / mm:.1f}",) for r in radii]
        write("olive-stone-series", f"plate-{batch}.csv", "radius [mm]", rows, f"{said}; mean radius after 120 s.")


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
    write_dope_40(20261)
    write_agar(20262)
    write_cooling_needle(20263)
    write_series(20264)


if __name__ == "__main__":
    main()
