"""Small faults, put one at a time into a copy of laws, shapes, bench tests and limits, each seen by the nearest contract.

A contract that compares code with itself passes them all: what sees them is the worked example of each class, and for
terms that no worked example reaches a test of `test_small_terms.py`.
"""

import compileall
import json
import os
import py_compile
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TESTS = {
    "laws": "tests/test_laws.py",
    "bench": "tests/test_bench.py",
    "limits": "tests/test_limits.py",
    "fibre": "tests/test_fibre_numbers.py",
}
TERMS = "tests/test_small_terms.py"
BY_NAME = [TERMS, "tests/test_conditions_in_fits.py"]  # where a test that is named stands

WORKED = "test_worked_examples"

SOUND = [*(f"{path}::{WORKED}" for path in TESTS.values()), TERMS]

FAULTS = [  # file in rheokit, what stands there, what is put there, and whose worked example or which small term must see it
    ("laws/newtonian.py", "(self.viscosity * np.asarray", "(1.02 * self.viscosity * np.asarray", "laws[Newtonian]"),
    ("laws/power_law.py", "4 * n / (3 * n + 1)", "(3 * n + 1) / 4 / n", "laws[power law]"),
    ("laws/bingham.py", "self.plastic_viscosity, 1.0)", "self.plastic_viscosity, 0.98)", "laws[Bingham]"),
    ("laws/herschel_bulkley.py", "self.consistency * np.power", "1.02 * self.consistency * np.power", "laws[Herschel-Bulkley]"),
    ("laws/casson.py", "2 * np.sqrt(self.yield_stress * viscous)", "np.sqrt(self.yield_stress * viscous)", "laws[Casson]"),
    ("laws/casson.py", "(8 * tau_w / self", "(32 * tau_w / self", "laws[Casson]"),
    ("laws/power_sums.py", "(power / (power + 1))", "(power / (power + 2))", "laws[three-component]"),
    ("laws/herschel_bulkley_newtonian.py", "(self.final_viscosity, 1.0)]", "(self.final_viscosity, 0.98)]", "laws[Herschel-Bulkley with Newtonian term]"),
    ("laws/three_component.py", "np.sqrt(self.critical_rate), 0.5)", "self.critical_rate, 0.5)", "laws[three-component]"),
    ("laws/sisko.py", "(self.consistency, self.flow_index)", "(1.02 * self.consistency, self.flow_index)", "laws[Sisko]"),
    ("laws/carreau_yasuda.py", "(self.flow_index - 1) / a *", "(self.flow_index - 1) *", "laws[Carreau-Yasuda]"),
    ("laws/cross.py", "transition=1 - self.flow_index", "transition=self.flow_index + 0.1", "laws[Cross]"),
    ("laws/robertson_stiff.py", "3 * np.asarray(self.flow_index, float) + 1", "3 * np.asarray(self.flow_index, float)", "laws[Robertson-Stiff]"),
    ("laws/tube.py", "4 * n * (excess", "4.08 * n * (excess", "laws[Herschel-Bulkley]"),
    ("laws/tube.py", "3 ** ((n + 1) / 2)", "2 ** ((n + 1) / 2)", "laws[power law]"),
    ("laws/tube.py", "return yield_stress / 3 * (anti", "return yield_stress / 2 * (anti", "laws[Herschel-Bulkley]"),
    ("bench/vane_peak.py", "+ 1 / 3)", "+ 1 / 6)", "bench[vane peak]"),
    ("bench/vane_peak.py", '= "static"', '= "dynamic"', "bench[vane peak]"),
    ("bench/flow_curve.py", "law.shear_stress(self.shear_rate)", "1.02 * law.shear_stress(self.shear_rate)", "bench[flow curve]"),
    ("bench/slump.py", "UNIAXIAL * np.maximum", "2.0 * np.maximum", "bench[frustum slump]"),
    ("bench/slump.py", "self.density * STANDARD_GRAVITY * self.height", "self.density * self.height", "bench[cylinder slump]"),
    ("bench/spread.py", "225 * self.density * STANDARD_GRAVITY * self.volume**2 / (128 * np.pi**2)", "255 * self.density * STANDARD_GRAVITY * self.volume**2 / (128 * np.pi**2)", "bench[spread]"),
    ("bench/hanging_slug.py", "(UNIAXIAL * law", "(2 * law", "bench[hanging slug]"),
    ("bench/hanging_slug.py", "(self.bore / 2)", "self.bore", "bench[hanging slug]"),
    ("bench/falling_ball.py", "3 / 16 * rate", "3 / 8 * rate", "bench[falling ball]"),
    ("bench/falling_ball.py", "2.104 * share", "2.14 * share", "bench[falling ball]"),
    ("bench/timed_drain.py", "area * levels * height", "area * self.end_level * height", "bench[timed drain]"),
    ("bench/drop_mass.py", "held = np.pi", "held = 1.02 * np.pi", "bench[drop mass]"),
    ("bench/setting_time.py", "start = height - exponent * middle", "start = height - 1.02 * exponent * middle", "bench[setting time]"),
    ("bench/wound_thread.py", "(self.dry_density * self.wet_mass)", "(1.02 * self.dry_density * self.wet_mass)", "bench[wound thread]"),
    ("bench/inverted_tube.py", "lambda temperature: temperature", "lambda temperature: 1.002 * temperature", "bench[inverted tube]"),
    ("fibre/taut.py", "-27.29, 27.53", "-27.29, 27.35", "bench[drop mass]"),
    ("fibre/thermal.py", "np.pi / 4 * np.multiply(thermal", "np.pi / 2 * np.multiply(thermal", "fibre[Graetz length]"),
    ("fibre/setting.py", "(10 / reach) ** exponent", "(10.2 / reach) ** exponent", "fibre[needle blocks]"),
    ("fibre/airgap.py", "np.square(8 * np.divide", "np.square(8.2 * np.divide", "fibre[heat transfer in a draught]"),
    ("fibre/air.py", "latent_heat(temperature) / HEAT", "1.02 * latent_heat(temperature) / HEAT", "fibre[settled]"),
    ("fibre/bath.py", "1 / (2 * fourier)", "1 / (2.04 * fourier)", "fibre[left in a bath at 1]"),
    ("fibre/tension.py", "(index + 1) * consistency * np.asarray(flow", "(index + 1) * 1.02 * consistency * np.asarray(flow", "fibre[tension]"),
    ("fibre/evenness.py", "1 + 0.4714 * inertia", "1 + 0.4614 * inertia", "fibre[gain]"),
    ("fibre/taut.py", "TOGETHER = 1.6 ", "TOGETHER = 1.63 ", "fibre[taut with surface tension]"),
    ("fibre/draw_stability.py", "capillary / (2 * np.sqrt(section))", "capillary / (2.04 * np.sqrt(section))", "fibre[critical draw ratio, computed]"),
    ("part/drying/diffusion.py", "(4 - short / 3", "(4 - short / 2.9", "fibre[uptake at 0.01]"),
    ("bench/fall_cone.py", "30: 0.80, 60: 0.27", "60: 0.80, 30: 0.27", "bench[fall cone]"),
    ("bench/fall_cone.py", '= "static"', '= "dynamic"', "bench[fall cone]"),
    ("bench/loaded_plate.py", "np.arcsin(m) / m)", "np.arcsin(m))", "bench[loaded plate]"),
    ("bench/loaded_plate.py", "(3 * self.volume)", "(2 * self.volume)", "bench[loaded plate]"),
    ("bench/force_run.py", "area + self._friction(nuisance)", "area", "bench[syringe force]"),
    ("bench/force_run.py", "pressure * self.extruder.area + self", "pressure + self", "bench[syringe force]"),
    ("flow/channel.py", "return 4 * (self.land.length", "return 2 * (self.land.length", "bench[pressure run]"),
    ("flow/segments.py", "32 * np.asarray(flow_rate", "8 * np.asarray(flow_rate", "bench[syringe force]"),
    ("bench/cup_density.py", "air = 1 - share", "air = share", "bench[cup density]"),
    ("bench/lean_height.py", "factor * height**3", "factor * height**2", "bench[lean height]"),
    ("bench/lean_height.py", "INCOMPRESSIBLE_WIDE if", "1 / INCOMPRESSIBLE_WIDE if", "bench[lean height]"),
    ("bench/drying_shrinkage.py", "1 - dry / self.wet_length", "self.wet_length / dry - 1", "bench[drying shrinkage]"),
    ("bench/oven_moisture.py", "(dry - self.tare_mass))", "(self.wet_mass - self.tare_mass))", "bench[oven moisture]"),
    ("bench/sieve.py", "passing, np.log(sizes))", "passing, np.log(sizes[::-1])[::-1] * 1.01)", "bench[sieve]"),
    ("bench/sieve.py", "Property(float(sizes[0]), mesh", "Property(1.02 * float(sizes[0]), mesh", "bench[sieve]"),
    ("bench/empty_barrel.py", "lambda force: force", "lambda force: force - force.min() / 50", "bench[empty barrel]"),
    ("bench/property_test.py", "scatter / np.sqrt(count) * widened(count - 1)", "scatter / np.sqrt(count)", "bench[oven moisture]"),
    ("limits/case.py", "32 * self.flow_rate", "8 * self.flow_rate", "limits[rates read]"),
    ("limits/case.py", "(np.pi * self.nominal_bore**3)", "(np.pi * (self.nominal_bore / 2) ** 3)", "limits[rates read]"),
    ("limits/case.py", "* self.extruder.area + self.extruder.plunger_friction", "* self.extruder.area", "limits[drive force]"),
    ("limits/case.py", "static_yield_stress=self.paste.static_yield_stress", "static_yield_stress=self.paste.yield_stress", "limits[start after rest]"),
    ("machine/extruder.py", "np.pi * np.square(self.barrel_diameter) / 4", "np.pi * np.square(self.barrel_diameter)", "limits[drive force]"),
    ("machine/extruder.py", "OF_THE_RATING = 0.5", "OF_THE_RATING = 1.0", "limits[rated pressure]"),
    ("machine/drives.py", "self.efficiency * self.gear_ratio / self.lead", "self.gear_ratio / self.efficiency / self.lead", "limits[drive force]"),
    ("limits/base.py", "np.hypot(self.error(case), case.stress_spread)", "self.error(case)", "limits[rated pressure]"),
    ("sampling.py", "SURE = 1.959964", "SURE = 1.645", "limits[rated pressure]"),
    ("limits/drive.py", "np.maximum(case.pressure, case.start_pressure)", "case.pressure", "limits[rated pressure]"),
    ("limits/stack.py", "PLANE_STRAIN if case.job.shape == LONG else UNIAXIAL", "UNIAXIAL if case.job.shape == LONG else PLANE_STRAIN", "limits[stack]"),
    ("laws/criterion.py", "3**0.5, 2.0", "1.02 * 3**0.5, 2.0", "limits[stack]"),
    ("limits/stack.py", "model_error = 0.2", "model_error = 0.3", "limits[stack]"),
    ("limits/stack.py", "paste.static_yield_stress,", "paste.yield_stress,", "limits[stack]"),
    ("limits/lean.py", "return height * (", "return height / (", "limits[lean]"),
    ("limits/lean.py", "knock_down=self.knock_down", "knock_down=0.3", "limits[lean]"),
    ("limits/lean.py", "case.wall_width", "case.line_width", "limits[lean]"),
    ("limits/lean.py", "width, job.ring_radius, paste", "width, width, paste", "limits[lean]"),
    ("part/shape/leaning.py", "SHELL = 2 / 3", "SHELL = 1 / 3", "limits[lean]"),
    ("part/shape/leaning.py", "GREENHILL / 2 *", "GREENHILL / 12 *", "limits[lean]"),
    ("limits/clog.py", "self.clog_factor * case", "5.0 * case", "limits[clog]"),
    ("limits/cracking.py", "case.wall_width / 2", "case.wall_width", "limits[cracking]"),
    ("limits/lag.py", "case.paste.air_content *", "(1 - case.paste.air_content) *", "limits[lag]"),
    ("limits/layer_time.py", "(UNIAXIAL * paste.build_up_rate)", "(2.0 * paste.build_up_rate)", "limits[layer time]"),
    ("part/shape/skin.py", "np.multiply(2.0, drying_flux)", "np.multiply(1.0, drying_flux)", "limits[layer time]"),
    ("part/shape/line.py", "np.multiply(height, 1 - np.pi / 4)", "np.multiply(height, np.pi / 4)", "limits[line width]"),
    ("part/shape/line.py", "(GRAVITY / UNIAXIAL)", "(1 / UNIAXIAL)", "limits[line holds]"),
    ("part/shape/bridge.py", "UNIAXIAL / GRAVITY * np.multiply(static", "2 / GRAVITY * np.multiply(static", "limits[span]"),
    ("part/shape/bridge.py", "SPAN_STIFFNESS = 1.4", "SPAN_STIFFNESS = 1.5", "limits[span]"),
    ("part/shape/skin.py", "np.power(porosity, 3)", "np.power(porosity, 2)", "limits[speed floor]"),
    ("limits/gel_point.py", "gel_temperature + ABOVE", "gel_temperature", "limits[nozzle above gel point]"),
    ("limits/warm.py", "else np.minimum(found, barrel)", "else found", "limits[nozzle above gel point]"),
    ("limits/base.py", "(value - low) / self.width + error", "(value - low) / self.width + 1.02 * error", "limits[nozzle above gel point]"),
    ("limits/drawing.py", "job.bath_length / self.wound_speed", "1.02 * job.bath_length / self.wound_speed", "limits[set before winding]"),
    ("limits/warm.py", "air_cooled_outlet(barrel, job.air_temperature,", "air_cooled_outlet(barrel, barrel,", "limits[pause]"),
    ("fibre/thinning.py", "weight = density", "weight = 1.02 * density", "test_what_pulls_at_a_fibre_differs_by_its_weight_and_what_speeds_it_up"),
    ("fibre/thinning.py", "pull = surface_tension", "pull = 1.02 * surface_tension", "test_what_pulls_at_a_fibre_differs_by_its_weight_and_what_speeds_it_up"),
    ("limits/base.py", "if not self.hard or case.errors:", "if not self.hard:", "test_a_hard_limit_keeps_nothing_free_where_the_errors_are_drawn"),
    ("limits/drive.py", 'jobs = BOTH\n    error_name = PRESSURE', 'jobs = BOTH', "test_limits_of_one_theory_err_together"),
    ("limits/drive.py", "error_name = PRESSURE\n    formula", "formula", "test_limits_of_one_theory_err_together"),
    ("limits/drive.py", "def allowance(", "def allowed(", "test_gas_behind_the_plunger_keeps_nothing_free_for_the_batch"),
    ("limits/span.py", "paste.density, case.bore)", "paste.density, case.nominal_bore)", "test_a_drawn_error_moves_what_it_is_an_error_of"),
    ("limits/line_geometry.py", "case.gap / case.bore", "case.layer_height / case.bore", "test_a_drawn_error_moves_what_it_is_an_error_of"),
    ("limits/line_geometry.py", "case.gap / case.bore", "case.gap / case.nominal_bore", "test_a_drawn_error_moves_what_it_is_an_error_of"),
    ("limits/line_geometry.py", "case.laid_width / case.bore", "case.laid_width / case.nominal_bore", "test_a_drawn_error_moves_what_it_is_an_error_of"),
    ("limits/line_geometry.py", "case.laid_width / case.bore", "case.line_width / case.bore", "test_a_drawn_error_moves_what_it_is_an_error_of"),
    ("limits/case.py", "self._error(SPEED, self.job.speed_error)", "self._error(SPEED, self.job.bore_error)", "test_a_drawn_error_moves_what_it_is_an_error_of"),
    ("limits/case.py", "self.flow_rate / speed, self.gap", "self.flow_rate / speed, self.layer_height", "test_a_drawn_error_moves_what_it_is_an_error_of"),
    ("limits/case.py", "material.sure_spread", "material.batch_spread", "test_a_batch_spread_of_few_batches_is_kept_free_by_students_t"),
    ("paste/material.py", ".one_batch_read) * widened(self.batch_freedom)", ".one_batch_read)", "test_a_batch_spread_of_few_batches_is_kept_free_by_students_t"),
    ("limits/case.py", "in self.real_extruder.parts", "in self.extruder.parts", "test_the_pressure_is_that_of_the_bore_as_it_is[drawn]"),
    ("limits/case.py", "self.real_extruder.channel", "self.extruder.channel", "test_with_slip_too_the_pressure_is_that_of_the_bore_as_it_is[drawn]"),
    ("limits/case.py", "self.real_extruder.pressure(", "self.extruder.pressure(", "test_the_pressure_is_that_of_the_bore_as_it_is[read]"),
    ("limits/case.py", "self.real_extruder.start_pressure(", "self.extruder.start_pressure(", "test_the_start_pressure_is_that_of_the_bore_as_it_is"),
    ("limits/hand_force.py", "HandDrive.effort(float(case.force))", "HandDrive.effort(float(case.pressure * case.extruder.area))", "test_the_effort_of_a_hand_is_called_by_all_of_the_force"),
    ("corrections/lengths.py", "of_start @ pressures - self.friction", "of_start @ pressures", "test_bagley_takes_the_friction_off_what_is_left_at_no_length"),
    ("corrections/errors.py", "-3 * bores[place], bores[place]", "-3 * bores[place], 1.5 * bores[place]", "test_a_bore_errs_three_times_in_the_rate_and_once_in_the_stress"),
    ("corrections/errors.py", "-3 * bores[place], bores[place]", "3 * bores[place], bores[place]", "test_a_bore_errs_three_times_in_the_rate_and_once_in_the_stress"),
    ("corrections/errors.py", '("wall_shear_stress", 1.0)', '("wall_shear_stress", 1.5)', "test_a_bore_errs_three_times_in_the_rate_and_once_in_the_stress"),
    ("corrections/errors.py", "(count - fitted) * lines", "count * lines - fitted", "test_scatter_about_lines_has_the_freedom_that_the_lines_leave"),
    ("corrections/errors.py", "residuals - residuals.mean(axis=0), lines - 1", "residuals - residuals.mean(axis=0), lines", "test_scatter_about_lines_has_the_freedom_that_the_lines_leave"),
    ("bench/fall_cone.py", "return 5e-3, 20e-3", "return 5e-3, 25e-3", "test_a_reading_outside_the_window_is_a_bound_and_no_number"),
    ("bench/loaded_plate.py", "SQUAT = 3.0", "SQUAT = 2.0", "test_a_reading_outside_the_window_is_a_bound_and_no_number"),
    ("bench/pressure_run.py", "else 0.10", "else cls.default_model_error", "test_two_lengths_of_one_bore_halve_the_usual_error_of_a_pressure_run"),
    ("bench/pressure_run.py", "default_model_error = 0.05", "default_model_error = 0.10", "test_two_lengths_of_one_bore_halve_the_usual_error_of_a_pressure_run"),
    ("bench/force_run.py", "default_model_error = 0.10", "default_model_error = 0.05", "test_the_usual_error_of_a_syringe_is_a_tenth"),
    ("bench/force_run.py", "pressure = (self.force - self._friction(nuisance)) / self", "pressure = self.force / self", "test_readings_of_the_law_lie_on_its_curve"),
    ("bench/runs.py", "ALIKE = 0.1, 1 / 30", "ALIKE = 0.03, 1 / 100", "test_settings_that_are_kept_to_a_tenth_are_one"),
    ("bench/runs.py", "2 / 3 * (count - 2)", "(count - 2)", "test_a_random_order_turns_at_two_of_three_rates"),
    ("fitting/conditions.py", "MOSTLY = 0.5", "MOSTLY = 1.5", "test_few_batches_are_told_what_would_tell_their_effects"),
    ("fitting/condition_checks.py", "np.clip(1 - np.diag(hat), 1e-9, None)", "np.clip(1 - np.diag(hat), 1.0, None)", "test_a_batch_apart_from_the_others_is_named"),
    ("fitting/asked.py", "gathered(as_records([law_class, *beside], tests))", "gathered(tests)", "test_records_and_runs_of_one_file_say_the_same_of_temperature"),
    ("fitting/run_factors.py", "(1 - 1 / np.sqrt(1 + spread**2", "(1 - 1 / np.sqrt(1 + 1.04 * spread**2", "test_residuals_of_a_run_are_made_independent"),
    ("fitting/consequence.py", "step = -np.linalg.pinv", "step = -1.02 * np.linalg.pinv", "test_leaving_out_a_reading_moves_the_stress_as_a_second_fit_says"),
    ("laws/shifted.py", "return apparent / self.rate_factor", "return apparent * self.rate_factor", "test_a_shifted_law_gives_flow_and_stress_of_one_wall_rate"),
    ("laws/heated.py", "(1 / temperature - 1 / reference)", "(1.02 / temperature - 1.02 / reference)", "test_a_law_moves_with_temperature_water_and_age[heated]"),
    ("laws/watered.py", "np.exp(-water_slope", "np.exp(-1.02 * water_slope", "test_a_law_moves_with_temperature_water_and_age[watered]"),
    ("laws/aged.py", "** age_exponent", "** (1.02 * age_exponent)", "test_a_law_moves_with_temperature_water_and_age[aged]"),
    ("laws/at_condition.py", "new for new, old in zip(asked, self.given", "new for new, old in zip(asked, asked", "test_a_condition_that_is_not_asked_anew_stays"),
    ("fitting/over_conditions.py", "ROUNDED = 0.1", "ROUNDED = 0.3", "test_a_reference_is_as_round_as_a_tenth_of_the_range_allows"),
    ("fitting/between_batches.py", "- 1.0 - len(between)", "- 1.0", "test_batches_that_tell_a_slope_tell_so_much_less_of_their_spread"),
    ("paste/water/fitted.py", "(2 * (ends[1] - ends[0]))", "(ends[1] - ends[0])", "test_a_line_is_known_best_amid_the_waters_that_were_read"),
    ("part/drying/wall.py", "(self.wet_solids + self.air_content)", "(self.wet_solids - self.air_content)", "test_solids_cannot_take_the_room_of_the_air_there_is"),
    ("part/drying/wall.py", "np.exp(SURE * QUANTITIES", "np.exp(0.98 * SURE * QUANTITIES", "test_a_diffusivity_that_was_not_measured_is_known_within_its_usual_spread"),
    ("paste/water/through.py", "breadth=float(np.sqrt(", "breadth=float(1.02 * np.sqrt(", "test_the_band_of_a_water_line_widens_from_its_centre_by_its_breadth"),
    ("paste/material.py", "np.exp(self.spread(f.name) *", "np.exp(1.02 * self.spread(f.name) *", "test_drawn_properties_scatter_by_their_spread"),
    ("bench/run.py", "return 32 * self.flow_rate", "return 32.64 * self.flow_rate", "test_a_rough_curve_has_the_apparent_rates_of_hagen_and_poiseuille"),
    ("bench/slump.py", "return 0.1 * self.height", "return 0.102 * self.height", "test_a_slump_is_read_between_a_tenth_and_four_fifths_of_the_height"),
    ("bench/usual.py", "usual_record(kind, first).predict(law)", "usual_record(kind).predict(law)", "test_a_stiff_cylinder_is_expected_to_see_the_static_yield_stress"),
    ("bench/loaded_plate.py", '"load_mass": 1.0}', '"load_mass": 1.02}', "test_a_plate_is_expected_to_carry_the_weight_of_its_load"),
    ("limits/judgement.py", "value * np.exp(allowance)", "value * np.exp(-allowance)", "test_what_a_hard_limit_may_reach_lies_above_its_value"),
]  # fmt: skip


def seen_by(test):
    """Return the node of a test: `limits[stack]` is a worked example, a name that begins with `test_` a small term."""
    if test.startswith("test_"):
        name = test.partition("[")[0]
        (file,) = [one for one in BY_NAME if f"def {name}(" in (ROOT / one).read_text(encoding="utf-8")]
        return f"{file}::{test}"
    room, one = test.split("[", 1)
    return f"{TESTS[room]}::{WORKED}[{one}"


DRIVER = """
import gc, json, os, sys
import hypothesis, numpy, pandas, pytest, scipy.special  # once, for every child

gc.freeze()
os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"

for number, (path, text, test) in enumerate(json.load(open("faults.json", encoding="utf-8"))):
    sound = open(path, encoding="utf-8").read()
    open(path, "w", encoding="utf-8").write(text)
    child = os.fork()
    if not child:
        said = os.open(f"{number}.txt", os.O_CREAT | os.O_WRONLY)
        os.dup2(said, 1), os.dup2(said, 2)
        plain = ["--assert=plain", "--override-ini=addopts=", "--import-mode=importlib"]  # half the time: one test is asked for
        own = ["-p", "no:cacheprovider", f"--basetemp=temporary-{number}"]  # nothing in the place of those that run beside it
        os._exit(pytest.main(["-q", "--tb=line", "--no-header", *own, *plain, test]))
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    open(path, "w", encoding="utf-8").write(sound)
    print(code, flush=True)
"""


@pytest.fixture(scope="module")
def seen(tmp_path_factory):
    """Return (return code, what pytest said) of the nearest contract for each fault, put into a copy one at a time.

    The first few are no faults: the contracts of each room, and the small terms, as they are.
    """
    folder = tmp_path_factory.mktemp("faulty")
    shutil.copytree(ROOT / "rheokit", folder / "rheokit", ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "tests").mkdir()
    for name in ("pyproject.toml", "tests/conftest.py", "tests/worked.py", *TESTS.values(), *BY_NAME):
        shutil.copy(ROOT / name, folder / name)
    sound_one = (ROOT / "rheokit/units.py").read_text(encoding="utf-8")
    jobs = [["rheokit/units.py", sound_one, test] for test in SOUND]
    for file, sound, wrong, test in FAULTS:
        text = (ROOT / "rheokit" / file).read_text(encoding="utf-8")
        jobs.append([f"rheokit/{file}", text.replace(sound, wrong), seen_by(test)])
    (folder / "faults.json").write_text(json.dumps(jobs), encoding="utf-8")
    # compiled once: what a fault changes is compiled anew, by its contents
    by_contents = py_compile.PycInvalidationMode.CHECKED_HASH
    assert compileall.compile_dir(folder / "rheokit", quiet=2, invalidation_mode=by_contents)
    ran = subprocess.run(
        [sys.executable, "-B", "-c", DRIVER],
        cwd=folder, env=os.environ | {"PYTHONPATH": str(folder)}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    codes = [int(line) for line in ran.stdout.split()]
    return [(code, (folder / f"{number}.txt").read_text(encoding="utf-8")) for number, code in enumerate(codes)]


@pytest.mark.slow
@pytest.mark.parametrize("number", range(len(SOUND)), ids=SOUND)
def test_without_a_fault_they_pass(seen, number):
    code, said = seen[number]
    assert code == 0, said


@pytest.mark.slow
@pytest.mark.parametrize("number", range(len(FAULTS)), ids=lambda k: f"{k}-{FAULTS[k][3]}")
def test_a_small_fault_is_seen_by_the_nearest_contract(seen, number):
    file, sound, wrong, test = FAULTS[number]
    assert sound in (ROOT / "rheokit" / file).read_text(encoding="utf-8"), (
        f"{file} has changed: put the same fault into its new form"
    )
    code, said = seen[len(SOUND) + number]
    assert code == 1, f"nobody saw {wrong!r} for {sound!r} in {file}: {said}"
    assert f"FAILED {seen_by(test)}" in said, said
