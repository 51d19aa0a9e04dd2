"""Speed as ratios measured in one run, so that they mean the same on any machine:   python tests/benchmarks/ratios.py

Nothing is asserted here: a timed unit test fails on a busy machine and passes on a fast one.
"""

import subprocess
import sys
import time
import warnings
from dataclasses import replace

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq

import rheokit as rk
from rheokit.units import mL, mm

PASTE = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
BORES = np.geomspace(0.6, 4, 512)[:, None] * mm
FLOWS = np.geomspace(1, 300, 512)[None, :] * mm**3


def median_time(work, runs=11, clock=time.perf_counter):
    """Return the median time [s] of some work by a clock, after one warm-up: wall time, or that of the processor."""
    work()
    times = []
    for _ in range(runs):
        begin = clock()
        work()
        times.append(clock() - begin)
    return float(np.median(times))


def plain_ln_gamma(x, n):
    """Return ln Γ and its slope as the formula stands, for comparison of cost."""
    a, b, c = 1 / (3 * n + 1), 2 / (2 * n + 1), 1 / (n + 1)
    e = np.exp(x)
    polynomial = (a * e + b) * e + c
    value = np.log(n) + (1 + 1 / n) * x - 3 * np.log1p(e) + np.log(polynomial)
    return value, (1 + 1 / n) - 3 * e / (1 + e) + (2 * a * e * e + b * e) / polynomial


def cone_and_land(law=PASTE, bores=BORES, flows=FLOWS):
    """Return the shear pressure drop [Pa] of a cone and a land over bores and flows."""
    cone = rk.Cone(inlet_diameter=6 * mm, outlet_diameter=bores, length=20 * mm)
    land = rk.Cylinder(diameter=bores, length=8 * mm)
    return cone.pressure_drop(law, flows) + land.pressure_drop(law, flows)


def scalar_cone_and_land(bore, flow):
    """Return the same at one point by root search and quadrature of the tube relation."""
    t_y, k, n = PASTE.yield_stress, PASTE.consistency, PASTE.flow_index

    def wall(radius):
        rate = 4 * flow / (np.pi * radius**3)

        def miss(tau):
            d = tau - t_y
            m = 1 / n
            return (
                4 * k**-m * tau**-3 * d ** (m + 1) * (d * d / (m + 3) + 2 * t_y * d / (m + 2) + t_y**2 / (m + 1)) - rate
            )

        return brentq(miss, t_y * (1 + 1e-12), 1e6, xtol=1e-9)

    slope = (6 * mm - bore) / 2 / (20 * mm)
    return quad(lambda r: 2 * wall(r) / (r * slope), bore / 2, 3 * mm)[0] + 4 * 8 * mm / bore * wall(bore / 2)


def region(count, draws):
    """Return a region map of bore and speed with every limit that an invented paste can be asked, as a function."""
    paste = rk.Paste(
        law=PASTE, density=1110.0, air_content=0.034, modulus=25e3, build_up_rate=0.15, build_up_time=600.0, grain_size=180e-6,
        porosity=0.62, drag_diameter=55e-6, liquid_viscosity=20.0, diffusivity=5e-10, dry_density=540.0, skin_loss=0.1,
    )  # fmt: skip
    material = rk.Material(paste=paste, law_spreads={"consistency": 0.1, "flow_index": 0.02}, rate_range=(3.6, 285.0))
    taper = rk.Cone(inlet_diameter=6 * mm, outlet_diameter=1.6 * mm, length=20 * mm)
    extruder = rk.Extruder(
        barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0, pressure_rating=1e6,
        nozzle=rk.Nozzle(taper, rk.Cylinder(diameter=1.6 * mm, length=8 * mm)),
        drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
    )  # fmt: skip
    job = rk.PrintJob(
        print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.2, part_height=20 * mm, path_length=0.2,
        span=5 * mm, drying_flux=60e-3 / 3600, longest_lag=30.0,
    )  # fmt: skip
    axes = {"bore": np.geomspace(0.8, 4, count) * mm, "print_speed": np.geomspace(3, 40, count) * mm}
    return lambda: rk.region_map(material, extruder, job, None, axes, draws=draws)


def fibre_map(count, draws):
    """Return a region map of nozzle temperature and winding speed with nine limits of a fibre, as a function."""
    dope = rk.Paste(
        law=rk.heated(rk.Newtonian, 333.15)(viscosity=3.0, activation_energy=45e3), density=1127.0, heat_capacity=3020.0,
        gel_temperature=306.15, setting_time=3.0, dry_section=0.448, break_ratio=15.0,
    )  # fmt: skip
    material = rk.Material(paste=dope, law_spreads={"viscosity": 0.03, "activation_energy": 0.03})
    extruder = rk.Extruder(
        barrel_diameter=20.1 * mm, fill_length=60 * mm, plunger_friction=5.0, pressure_rating=8e5,
        nozzle=rk.Nozzle(rk.Cylinder(diameter=0.84 * mm, length=12.7 * mm)),
        drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
    )  # fmt: skip
    job = rk.FibreJob(
        throughput=10e-9, winding_speed=0.1426, gap=4 * mm, nozzle_temperature=311.15, bath_length=0.25, bath_temperature=283.15,
        dry_diameter=0.2 * mm,
    )  # fmt: skip
    names = (
        "nozzle above gel point", "hold temperature", "set before winding", "draw ratio", "even draw", "beads", "taut thread",
        "dry diameter", "drive force",
    )  # fmt: skip
    axes = {"nozzle_temperature": np.linspace(298.15, 333.15, count), "winding_speed": np.geomspace(0.02, 0.4, count)}
    return lambda: rk.region_map(material, extruder, job, names, axes, draws=draws)


def import_time(statement, runs=7):
    """Return the median wall time [s] of a fresh interpreter that runs one statement."""
    return median_time(lambda: subprocess.run([sys.executable, "-c", statement], check=True), runs)


def main():
    """Print every ratio."""
    x = np.random.default_rng(0).uniform(-3, 6, (512, 512))
    whole = median_time(cone_and_land)
    plain = median_time(lambda: plain_ln_gamma(x, 0.38))
    points = [(BORES[i, 0], FLOWS[0, j]) for i, j in np.random.default_rng(1).integers(0, 512, (40, 2))]
    begin = time.perf_counter()
    slow = [scalar_cone_and_land(*point) for point in points]
    scalar = (time.perf_counter() - begin) / len(points)
    fast = [float(cone_and_land(bores=b, flows=q)) for b, q in points]
    print(f"map of 512 x 512, cone and land: {whole * 1e3:.0f} ms")
    print(f"  over one plain ln Γ with slope on that array: {whole / plain:.1f}")
    print(f"  scalar root search and quadrature a point, over the map a point: {scalar / (whole / x.size):.0f}")
    print(f"  greatest difference of the two, relative: {np.max(np.abs(np.divide(fast, slow) - 1)):.1e}")

    print(f"region map of 512 x 512 with every limit, over cone and land: {median_time(region(512, 0), 5) / whole:.1f}")
    print(f"region map of 64 x 64 with 1000 draws and every limit: {median_time(region(64, 1000), 1):.2f} s")

    values = np.random.default_rng(2).uniform(-3, 3, (64, 64, 1000))
    room = np.empty_like(values)
    cpu = time.process_time  # what others do on the machine does not count
    exps = median_time(lambda: np.exp(values, out=room), 5, cpu)
    print(
        f"fibre map of 64 x 64 with 1000 draws and nine limits, over an exp of as many values: {median_time(fibre_map(64, 1000), 3, cpu) / exps:.0f}"
    )
    print(f"  with best values alone: {median_time(fibre_map(64, 0), clock=cpu) * 1e3:.1f} ms")

    bare = import_time("import numpy, pandas")
    print(f"import rheokit over import numpy and pandas: {import_time('import rheokit') / bare:.2f}")
    both = import_time("import numpy, pandas, rheokit")
    print(f"import all three over import numpy and pandas: {both / bare:.2f}")

    noise = np.random.default_rng(3).standard_normal(10)
    rates = np.geomspace(5, 200, 10)
    curve = rk.FlowCurve(
        shear_rate=rates, shear_stress=PASTE.shear_stress(rates) * np.exp(0.05 * noise), relative_uncertainty=0.05
    )
    plate = rk.LoadedPlate(volume=5 * mL, force=9.81, radius=0.0250, relative_uncertainty=0.02)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = median_time(lambda: rk.fit(rk.HerschelBulkley, curve, plate))
        full = median_time(lambda: rk.fit(rk.HerschelBulkley, curve, plate).table)
        draws = median_time(lambda: rk.fit(rk.HerschelBulkley, curve, plate).draws(2000, seed=0))
        six = [replace(curve, model_error=0.05), replace(plate, model_error=0.15)]
        nuisance = median_time(lambda: rk.fit(rk.HerschelBulkley, *six).table)
        nexts = median_time(lambda: rk.next_reading(rk.fit(rk.HerschelBulkley, *six), lambda law: law.yield_stress), 5)
        rows = np.geomspace(1, 200, 100_000)
        logged = replace(
            curve,
            shear_rate=rows,
            censored=None,
            shear_stress=PASTE.shear_stress(rows) * np.exp(0.05 * np.random.default_rng(4).standard_normal(len(rows))),
        )
        many = median_time(lambda: rk.fit(rk.HerschelBulkley, logged).table, 3)
    print(
        f"fit of a curve and a plate: {fit * 1e3:.0f} ms; with intervals {full * 1e3:.0f} ms; with 2000 joint draws {draws * 1e3:.0f} ms"
    )
    print(f"  the same with model errors, intervals of all nuisance parameters: {nuisance * 1e3:.0f} ms")
    print(f"  which reading to take next, all candidates, over those intervals: {nexts / nuisance:.1f}")
    print(f"  a curve of 100 000 readings with intervals, over one of 10 with a plate: {many / full:.1f}")


if __name__ == "__main__":
    main()
