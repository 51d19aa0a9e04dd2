"""Small faults, put one at a time into a copy of laws, shapes, bench tests and limits, each seen by the nearest contract.

A contract that compares code with itself passes them all: what sees them is the worked example of each class.
"""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TESTS = {"laws": "tests/test_laws.py", "bench": "tests/test_bench.py", "limits": "tests/test_limits.py"}

WORKED = "test_worked_examples"

FAULTS = [  # file in rheokit, what stands there, what is put there, and whose worked example must see it
    ("laws/newtonian.py", "(self.viscosity * np.asarray", "(1.02 * self.viscosity * np.asarray", "laws[Newtonian]"),
    ("laws/power_law.py", "4 * n / (3 * n + 1)", "(3 * n + 1) / 4 / n", "laws[power law]"),
    ("laws/bingham.py", "self.plastic_viscosity, 1.0)", "self.plastic_viscosity, 0.98)", "laws[Bingham]"),
    ("laws/herschel_bulkley.py", "self.consistency * np.power", "1.02 * self.consistency * np.power", "laws[Herschel-Bulkley]"),
    ("laws/casson.py", "2 * np.sqrt(self.yield_stress * viscous)", "np.sqrt(self.yield_stress * viscous)", "laws[Casson]"),
    ("laws/casson.py", "(8 * tau_w / self", "(32 * tau_w / self", "laws[Casson]"),
    ("laws/tube.py", "4 * n * (excess", "4.08 * n * (excess", "laws[Herschel-Bulkley]"),
    ("laws/tube.py", "3 ** ((n + 1) / 2)", "2 ** ((n + 1) / 2)", "laws[power law]"),
    ("laws/tube.py", "return yield_stress / 3 * (anti", "return yield_stress / 2 * (anti", "laws[Herschel-Bulkley]"),
    ("bench/vane_peak.py", "+ 1 / 3)", "+ 1 / 6)", "bench[vane peak]"),
    ("bench/vane_peak.py", '= "static"', '= "dynamic"', "bench[vane peak]"),
    ("bench/flow_curve.py", "law.shear_stress(self.shear_rate)", "1.02 * law.shear_stress(self.shear_rate)", "bench[flow curve]"),
    ("bench/slump.py", "np.sqrt(3.0)", "2.0", "bench[frustum slump]"),
    ("bench/slump.py", "self.density * STANDARD_GRAVITY * self.height", "self.density * self.height", "bench[cylinder slump]"),
    ("bench/spread.py", "225 * self.density * STANDARD_GRAVITY * self.volume**2 / (128 * np.pi**2)", "255 * self.density * STANDARD_GRAVITY * self.volume**2 / (128 * np.pi**2)", "bench[spread]"),
    ("bench/hanging_slug.py", "(np.sqrt(3) * law", "(2 * law", "bench[hanging slug]"),
    ("bench/hanging_slug.py", "(self.bore / 2)", "self.bore", "bench[hanging slug]"),
    ("bench/fall_cone.py", "30: 0.80, 60: 0.27", "60: 0.80, 30: 0.27", "bench[fall cone]"),
    ("bench/fall_cone.py", '= "static"', '= "dynamic"', "bench[fall cone]"),
    ("bench/loaded_plate.py", "np.arcsin(m) / m)", "np.arcsin(m))", "bench[loaded plate]"),
    ("bench/loaded_plate.py", "(3 * self.volume)", "(2 * self.volume)", "bench[loaded plate]"),
    ("bench/force_run.py", "* area + friction", "* area", "bench[syringe force]"),
    ("bench/force_run.py", "self.flow_rate) * area + friction", "self.flow_rate) + friction", "bench[syringe force]"),
    ("channel.py", "return 4 * (self.land.length", "return 2 * (self.land.length", "bench[pressure run]"),
    ("channel.py", "32 * np.asarray(flow_rate", "8 * np.asarray(flow_rate", "bench[syringe force]"),
    ("bench/cup_density.py", "air = 1 - share", "air = share", "bench[cup density]"),
    ("bench/lean_height.py", "factor * height**3", "factor * height**2", "bench[lean height]"),
    ("bench/lean_height.py", "INCOMPRESSIBLE_WIDE if", "1 / INCOMPRESSIBLE_WIDE if", "bench[lean height]"),
    ("bench/drying_shrinkage.py", "1 - dry / self.wet_length", "self.wet_length / dry - 1", "bench[drying shrinkage]"),
    ("bench/oven_moisture.py", "(dry - self.tare_mass))", "(self.wet_mass - self.tare_mass))", "bench[oven moisture]"),
    ("bench/sieve.py", "passing, np.log(sizes))", "passing, np.log(sizes[::-1])[::-1] * 1.01)", "bench[sieve]"),
    ("bench/property_test.py", " * stdtrit(count - 1, 0.975) / HALF_WIDTH", "", "bench[oven moisture]"),
    ("limits/case.py", "32 * self.flow_rate", "8 * self.flow_rate", "limits[rates read]"),
    ("limits/case.py", "(np.pi * self.nominal_bore**3)", "(np.pi * (self.nominal_bore / 2) ** 3)", "limits[rates read]"),
    ("limits/case.py", "* self.extruder.area + self.extruder.plunger_friction", "* self.extruder.area", "limits[drive force]"),
    ("limits/case.py", "static_yield_stress=self.paste.static_yield_stress", "static_yield_stress=self.paste.yield_stress", "limits[start after rest]"),
    ("extruder.py", "np.pi * np.square(self.barrel_diameter) / 4", "np.pi * np.square(self.barrel_diameter)", "limits[drive force]"),
    ("extruder.py", "OF_THE_RATING = 0.5", "OF_THE_RATING = 1.0", "limits[rated pressure]"),
    ("drives.py", "self.efficiency * self.gear_ratio / self.lead", "self.gear_ratio / self.efficiency / self.lead", "limits[drive force]"),
    ("limits/base.py", "np.hypot(self.model_error, case.stress_spread)", "self.model_error", "limits[rated pressure]"),
    ("limits/base.py", "SURE = 1.96", "SURE = 1.645", "limits[rated pressure]"),
    ("limits/drive.py", "np.maximum(case.pressure, case.start_pressure)", "case.pressure", "limits[rated pressure]"),
    ("limits/stack.py", "PLANE_STRAIN, UNIAXIAL = 2.0, 3**0.5", "PLANE_STRAIN, UNIAXIAL = 3**0.5, 2.0", "limits[stack]"),
    ("limits/stack.py", "2.0, 3**0.5", "2.0, 1.02 * 3**0.5", "limits[stack]"),
    ("limits/stack.py", "model_error: ClassVar[float] = 0.2", "model_error: ClassVar[float] = 0.3", "limits[stack]"),
    ("limits/stack.py", "paste.static_yield_stress,", "paste.yield_stress,", "limits[stack]"),
    ("limits/buckle.py", "return height * (", "return height / (", "limits[buckle]"),
    ("limits/buckle.py", "knock_down=self.knock_down", "knock_down=0.3", "limits[buckle]"),
    ("limits/buckle.py", "case.wall_width", "case.line_width", "limits[buckle]"),
    ("limits/buckle.py", "width, job.ring_radius, paste", "width, width, paste", "limits[buckle]"),
    ("shape.py", "SHELL = 2 / 3", "SHELL = 1 / 3", "limits[buckle]"),
    ("shape.py", "GREENHILL / 2 *", "GREENHILL / 12 *", "limits[buckle]"),
    ("limits/clog.py", "self.clog_factor * case", "5.0 * case", "limits[clog]"),
    ("limits/cracking.py", "case.wall_width / 2", "case.wall_width", "limits[cracking]"),
    ("limits/lag.py", "case.paste.air_content *", "(1 - case.paste.air_content) *", "limits[lag]"),
    ("limits/layer_time.py", "(UNIAXIAL * paste.build_up_rate)", "(2.0 * paste.build_up_rate)", "limits[layer time]"),
    ("shape.py", "np.multiply(2.0, drying_flux)", "np.multiply(1.0, drying_flux)", "limits[layer time]"),
    ("shape.py", "np.multiply(height, 1 - np.pi / 4)", "np.multiply(height, np.pi / 4)", "limits[line width]"),
    ("shape.py", "(GRAVITY / UNIAXIAL)", "(1 / UNIAXIAL)", "limits[line holds]"),
    ("shape.py", "UNIAXIAL / GRAVITY * np.multiply(static", "2 / GRAVITY * np.multiply(static", "limits[span]"),
    ("shape.py", "SPAN_STIFFNESS = 1.4", "SPAN_STIFFNESS = 1.5", "limits[span]"),
    ("shape.py", "np.power(porosity, 3)", "np.power(porosity, 2)", "limits[speed floor]"),
]  # fmt: skip


DRIVER = """
import json, os, sys
import numpy, pandas, pytest, scipy.special  # once, for every child

for number, (path, text, test) in enumerate(json.load(open("faults.json", encoding="utf-8"))):
    sound = open(path, encoding="utf-8").read()
    open(path, "w", encoding="utf-8").write(text)
    child = os.fork()
    if not child:
        said = os.open(f"{number}.txt", os.O_CREAT | os.O_WRONLY)
        os.dup2(said, 1), os.dup2(said, 2)
        os._exit(pytest.main(["-q", "--tb=line", "--no-header", "-p", "no:cacheprovider", test]))
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    open(path, "w", encoding="utf-8").write(sound)
    print(code, flush=True)
"""


@pytest.fixture(scope="module")
def seen(tmp_path_factory):
    """Return (return code, what pytest said) of the nearest contract for each fault, put into a copy one at a time.

    The first three are no faults: the contracts of each room as they are.
    """
    folder = tmp_path_factory.mktemp("faulty")
    shutil.copytree(ROOT / "rheokit", folder / "rheokit", ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "tests").mkdir()
    for name in ("pyproject.toml", "tests/conftest.py", *TESTS.values()):
        shutil.copy(ROOT / name, folder / name)
    jobs = [
        ["rheokit/units.py", (ROOT / "rheokit/units.py").read_text(encoding="utf-8"), f"{path}::{WORKED}"]
        for path in TESTS.values()
    ]
    for file, sound, wrong, test in FAULTS:
        room, one = test.split("[", 1)
        text = (ROOT / "rheokit" / file).read_text(encoding="utf-8")
        jobs.append([f"rheokit/{file}", text.replace(sound, wrong), f"{TESTS[room]}::{WORKED}[{one}"])
    (folder / "faults.json").write_text(json.dumps(jobs), encoding="utf-8")
    ran = subprocess.run(
        [sys.executable, "-B", "-c", DRIVER],
        cwd=folder, env=os.environ | {"PYTHONPATH": str(folder)}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    codes = [int(line) for line in ran.stdout.split()]
    return [(code, (folder / f"{number}.txt").read_text(encoding="utf-8")) for number, code in enumerate(codes)]


@pytest.mark.slow
@pytest.mark.parametrize("room", TESTS)
def test_without_a_fault_the_contracts_pass(seen, room):
    code, said = seen[list(TESTS).index(room)]
    assert code == 0, said


@pytest.mark.slow
@pytest.mark.parametrize("number", range(len(FAULTS)), ids=lambda k: f"{k}-{FAULTS[k][3]}")
def test_a_small_fault_is_seen_by_the_nearest_contract(seen, number):
    file, sound, wrong, test = FAULTS[number]
    room, one = test.split("[", 1)
    assert sound in (ROOT / "rheokit" / file).read_text(encoding="utf-8"), (
        f"{file} has changed: put the same fault into its new form"
    )
    code, said = seen[len(TESTS) + number]
    assert code == 1, f"nobody saw {wrong!r} for {sound!r} in {file}: {said}"
    assert f"FAILED {TESTS[room]}::{WORKED}[{one}" in said, said
