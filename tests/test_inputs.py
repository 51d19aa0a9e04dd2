"""No public entry computes on what is no number: it refuses, converts to SI, or warns, and says what may have been meant."""

import inspect
import subprocess
import sys
import warnings
from dataclasses import fields

import numpy as np
import pint
import pytest

import rheokit as rk
from rheokit import calibration, drives, drying, fibre, gauges, recipe, shape, shrinkage, transients, water
from rheokit.inputs import guarded, trusted
from rheokit.nomenclature import ANY, QUANTITIES, Quantity
from rheokit.units import g, kPa, minute, mL, mm

UNITS = pint.UnitRegistry()
LAW = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
NOZZLE = rk.Nozzle(
    rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
    rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
)
RIG = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, nozzle=NOZZLE, plunger_friction=8.0)
JOB = dict(print_speed=15 * mm, layer_height=1 * mm, line_width=2 * mm)
FLOW = 23 * mm**3
CURVE = dict(shear_rate=np.array([0.1, 1.0, 10.0]), shear_stress=np.array([700.0, 860.0, 1200.0]))
CALIBRATION = dict(masses=[1.5 * g, 1.6 * g, 1.55 * g], time=minute, density=1110.0, flow_rate=FLOW)
SLUMP = dict(height=50 * mm, diameter=50 * mm, density=1110.0, slump=[20 * mm])

GEL = dict(gel_temperature=304.0, setting_time=6.5, setting_exponent=2.0)
THREAD = dict(
    diameter=0.35 * mm, speed=0.126, volumetric_heat=3.6e6, air_temperature=295.0, relative_humidity=0.5, water_activity=0.97,
    draught=0.05,
)  # fmt: skip
MOVED = dict(diameter="thread_diameter", speed="thread_speed")
WOUND = dict(flow_rate=12 * mm**3, bore=0.84 * mm, winding_speed=0.126)

# callable, the numbers it is given, and the name in the nomenclature where it is another than that of the number
ENTRIES = {
    "Newtonian": (rk.Newtonian, dict(viscosity=1.0), {}),
    "power law": (rk.PowerLaw, dict(consistency=210.0, flow_index=0.4), {}),
    "Bingham": (rk.Bingham, dict(yield_stress=650.0, plastic_viscosity=10.0), {}),
    "Casson": (rk.Casson, dict(yield_stress=650.0, plastic_viscosity=10.0), {}),
    "Herschel-Bulkley": (rk.HerschelBulkley, dict(yield_stress=650.0, consistency=210.0, flow_index=0.4), {}),
    "Herschel-Bulkley with Newtonian term": (
        rk.HerschelBulkleyNewtonian,
        dict(yield_stress=650.0, consistency=210.0, flow_index=0.4, final_viscosity=2.5),
        {},
    ),
    "three-component": (rk.ThreeComponent, dict(yield_stress=650.0, critical_rate=10.0, final_viscosity=2.5), {}),
    "Sisko": (rk.Sisko, dict(final_viscosity=2.5, consistency=210.0, flow_index=0.4), {}),
    "Carreau-Yasuda": (
        rk.CarreauYasuda,
        dict(zero_shear_viscosity=900.0, final_viscosity=2.5, time_constant=0.3, flow_index=0.4, transition=2.0),
        {},
    ),
    "Cross": (
        rk.Cross,
        dict(zero_shear_viscosity=900.0, final_viscosity=2.5, time_constant=0.3, flow_index=0.4),
        {},
    ),
    "Robertson-Stiff": (rk.RobertsonStiff, dict(yield_stress=650.0, consistency=210.0, flow_index=0.4), {}),
    "Shifted": (lambda **k: rk.Shifted(LAW, **k), dict(stress_factor=1.1, rate_factor=2.0), {}),
    "shear_stress": (LAW.shear_stress, dict(shear_rate=1.0), {}),
    "shear_rate": (LAW.shear_rate, dict(shear_stress=900.0), {}),
    "wall_shear_stress": (LAW.wall_shear_stress, dict(apparent_shear_rate=1.0), {}),
    "apparent_shear_rate": (LAW.apparent_shear_rate, dict(wall_shear_stress=900.0), {}),
    "Cylinder": (rk.Cylinder, dict(diameter=1.6 * mm, length=8 * mm), {}),
    "Cone": (rk.Cone, dict(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm), {}),
    "Nozzle.pressure_drop": (lambda **k: NOZZLE.pressure_drop(LAW, **k), dict(flow_rate=FLOW, inlet_diameter=26.7 * mm), {}),
    "Nozzle.flow_rate": (lambda **k: NOZZLE.flow_rate(LAW, **k), dict(pressure_drop=90 * kPa), {}),
    "Nozzle.budget": (lambda **k: NOZZLE.budget(LAW, **k), dict(flow_rate=FLOW), {}),
    "Nozzle.start_pressure": (lambda **k: NOZZLE.start_pressure(LAW, **k), dict(inlet_diameter=26.7 * mm), {}),
    "Extruder": (
        lambda **k: rk.Extruder(nozzle=NOZZLE, **k),
        dict(
            barrel_diameter=26.7 * mm, fill_length=80 * mm, plunger_friction=8.0, barrel_drag=0.5, pressure_rating=1e6,
            break_loose_friction=20.0, compliance=1e-12,
        ),
        {},
    ),
    "Extruder.pressure": (lambda **k: RIG.pressure(LAW, **k), dict(flow_rate=FLOW), {}),
    "Extruder.plunger_force": (lambda **k: RIG.plunger_force(LAW, **k), dict(flow_rate=FLOW), {}),
    "Extruder.flow_rate": (lambda **k: RIG.flow_rate(LAW, **k), dict(plunger_force=100.0), {}),
    "Extruder.start_force": (lambda **k: RIG.start_force(LAW, **k), dict(static_yield_stress=800.0, break_loose_friction=20.0), {}),
    "Slip": (rk.Slip, dict(coefficient=1e-7, threshold=300.0), dict(coefficient="slip_coefficient", threshold="slip_threshold")),
    "ScrewDrive": (rk.ScrewDrive, dict(torque=0.3, lead=2 * mm, efficiency=0.25, gear_ratio=2.0), {}),
    "AirDrive": (rk.AirDrive, dict(pressure=90 * kPa), {}),
    "HandDrive": (rk.HandDrive, dict(force=30.0), {}),
    "stored_energy": (drives.stored_energy, dict(gas_volume=60 * mL, pressure=600 * kPa), {}),
    "luer_cone": (rk.luer_cone, dict(outlet_diameter=4 * mm, length=10 * mm), {}),
    "rise": (lambda **k: rk.rise(RIG, LAW, **k), dict(flow_rate=FLOW, air_content=0.03), {}),
    "Compression": (transients.Compression, dict(gas_volume=1 * mL, compliance=1e-12, atmospheric_pressure=1e5), {}),
    "PrintJob": (
        rk.PrintJob,
        dict(JOB, part_height=20 * mm, wall_width=2 * mm, path_length=0.3, span=5 * mm, drying_flux=3e-5, speed_error=0.02),
        {},
    ),
    "Paste": (
        lambda **k: rk.Paste(law=LAW, **k),
        dict(
            static_ratio=1.3, density=1110.0, air_content=0.03, modulus=25 * kPa, lean_factor=0.8, build_up_rate=0.5,
            build_up_time=600.0, grain_size=0.1 * mm, surface_tension=0.05, water_content=0.8, water_slope=3.0,
            porosity=0.5, drag_diameter=0.05 * mm, liquid_viscosity=1.0, diffusivity=1e-9, skin_loss=0.1,
        ),
        {},
    ),
    "Specimen": (rk.Specimen, dict(density=1110.0, water_content=0.8, air_content=0.03, temperature=295.0, age=600.0), {}),
    "FlowCurve": (rk.FlowCurve, CURVE, {}),
    "CylinderSlump": (rk.CylinderSlump, SLUMP, {}),
    "planned_line": (calibration.planned_line, dict(width=2 * mm, layer_height=1 * mm, print_speed=15 * mm, diameter=1.6 * mm), {}),
    "FlowCalibration": (calibration.FlowCalibration, CALIBRATION, dict(masses="caught_mass")),
    "sag_stress": (shape.sag_stress, dict(density=1110.0, height=1 * mm), {}),
    "plastic_height": (shape.plastic_height, dict(static_yield_stress=800.0, density=1110.0), {}),
    "wall_buckling_height": (shape.wall_buckling_height, dict(modulus=25 * kPa, wall_width=2 * mm, density=1110.0), {}),
    "greatest_span": (
        shape.greatest_span, dict(modulus=25 * kPa, static_yield_stress=800.0, density=1110.0, diameter=1.6 * mm), {}
    ),
    "evaporation": (drying.evaporation, dict(temperature=295.0, relative_humidity=0.5), {}),
    "crack_index": (
        drying.crack_index, dict(drying_flux=3e-5, half_thickness=2 * mm, dry_density=600.0, diffusivity=1e-9), {}
    ),
    "scale_factor": (shrinkage.scale_factor, dict(shrinkage=0.08), {}),
    "dry_basis": (recipe.dry_basis, dict(wet_water_content=0.4), {}),
    "Recipe": (
        lambda **k: recipe.Recipe(ingredients=(recipe.Ingredient(name="clay", dry_mass=1.0, density=2600.0),), **k),
        dict(water_content=0.8),
        {},
    ),
    "WaterLaw": (water.WaterLaw, dict(slope=3.0), dict(slope="water_slope")),
    "water_to_add": (water.water_to_add, dict(mass=0.5, water_content=0.8, water_change=0.1), {}),
    "cylinder_uptake": (drying.cylinder_uptake, dict(fourier_number=0.1), {}),
    "cylinder_fourier": (drying.cylinder_fourier, dict(uptake=0.5), {}),
    "exchange_time": (
        drying.exchange_time, dict(uptake=0.9, diameter=0.3 * mm, diffusivity=5e-10), dict(diameter="thread_diameter")
    ),
    "outlet_temperature": (
        fibre.outlet_temperature,
        dict(inlet=333.0, wall=307.0, length=25 * mm, flow_rate=12 * mm**3, thermal_diffusivity=1.4e-7),
        dict(inlet="temperature", wall="temperature"),
    ),
    "temperature_left": (fibre.temperature_left, dict(graetz_length=0.1), {}),
    "air_cooled_outlet": (
        fibre.air_cooled_outlet,
        dict(inlet=333.0, air=295.0, outer_diameter=1.27 * mm, length=25 * mm, flow_rate=12 * mm**3, volumetric_heat=3.6e6,
             heat_transfer=20.0),
        dict(inlet="temperature", air="air_temperature", outer_diameter="needle_outer_diameter"),
    ),
    "needle_time_constant": (
        fibre.needle_time_constant,
        dict(bore=0.84 * mm, outer_diameter=1.27 * mm, volumetric_heat=3.6e6, wall_heat=3.9e6, heat_transfer=20.0),
        dict(outer_diameter="needle_outer_diameter"),
    ),
    "time_to_cool": (
        fibre.time_to_cool,
        dict(start=333.0, air=295.0, to=304.0, time_constant=48.0),
        dict(start="temperature", air="air_temperature", to="temperature", time_constant="thermal_time_constant"),
    ),
    "soak_time": (
        fibre.soak_time,
        dict(diameter=20 * mm, thermal_diffusivity=1.4e-7, left=0.1),
        dict(diameter="barrel_diameter", left="remaining"),
    ),
    "time_to_set": (fibre.time_to_set, dict(GEL, temperature=290.0), {}),
    "pause_limit": (
        fibre.pause_limit,
        dict(GEL, start=333.0, air=295.0, time_constant=48.0),
        dict(start="temperature", air="air_temperature", time_constant="thermal_time_constant"),
    ),
    "cooling_time": (fibre.cooling_time, dict(THREAD, start=333.0, end=304.0), dict(MOVED, start="temperature", end="temperature")),
    "setting_progress": (fibre.setting_progress, dict(THREAD, **GEL, time=5.0, start=333.0), dict(MOVED, start="temperature")),
    "setting_length": (fibre.setting_length, dict(THREAD, **GEL, start=333.0), dict(MOVED, start="temperature")),
    "bath_progress": (
        fibre.bath_progress,
        dict(GEL, time=1.0, start=307.0, bath=283.0, diameter=0.35 * mm, thermal_diffusivity=1.4e-7),
        dict(start="temperature", bath="bath_temperature", diameter="thread_diameter"),
    ),
    "bath_length": (
        fibre.bath_length,
        dict(GEL, start=307.0, bath=283.0, winding_speed=0.126, diameter=0.35 * mm, thermal_diffusivity=1.4e-7),
        dict(start="temperature", bath="bath_temperature", diameter="thread_diameter"),
    ),
    "bath_temperature_left": (fibre.bath_temperature_left, dict(fourier_number=0.1), {}),
    "draw_ratio": (fibre.draw_ratio, WOUND, {}),
    "wet_diameter": (fibre.wet_diameter, dict(flow_rate=12 * mm**3, winding_speed=0.126), {}),
    "dry_section": (
        fibre.dry_section, dict(dry_mass_fraction=0.34, solid_density=1340.0, density=1090.0, residual_moisture=0.1), {}
    ),
    "dry_diameter": (fibre.dry_diameter, dict(wet=0.35 * mm, dry_section=0.33), dict(wet="wet_diameter")),
    "winding_speed": (fibre.winding_speed, dict(dry_diameter=0.2 * mm, flow_rate=12 * mm**3, dry_section=0.33), {}),
    "drum_speed": (fibre.drum_speed, dict(winding_speed=0.126, drum_diameter=60 * mm), {}),
    "draw_tension": (fibre.draw_tension, dict(WOUND, consistency=8.0, flow_index=0.8, gap=5 * mm), {}),
    "capillary_number": (
        fibre.capillary_number,
        dict(consistency=8.0, flow_index=0.8, flow_rate=12 * mm**3, bore=0.84 * mm, gap=5 * mm, surface_tension=0.05),
        {},
    ),
    "critical_draw_ratio": (fibre.critical_draw_ratio, dict(flow_index=0.8, capillary_number=0.5), {}),
    "neutral_draw_ratio": (fibre.neutral_draw_ratio, dict(flow_index=0.8, capillary_number=0.5), {}),
    "drawn_law": (lambda **k: fibre.drawn_law(rk.Newtonian(1.6), **k).viscosity, dict(WOUND, gap=5 * mm), {}),
    "unevenness_gain": (
        fibre.unevenness_gain, dict(WOUND, viscosity=1.6, gap=5 * mm, surface_tension=0.05, density=1090.0), {}
    ),
    "breakup_length": (
        fibre.breakup_length, dict(WOUND, viscosity=1.6, surface_tension=0.05, density=1090.0, gain=4.0), dict(gain="unevenness_gain")
    ),
    "taut_length": (
        fibre.taut_length,
        dict(WOUND, consistency=8.0, flow_index=0.8, density=1090.0, surface_tension=0.05, surrounding_density=998.0),
        {},
    ),
    "drop_mass": (
        fibre.drop_mass,
        dict(outer_diameter=3 * mm, density=1090.0, surface_tension=0.05),
        dict(outer_diameter="needle_outer_diameter"),
    ),
    "Spinline": (
        lambda **k: rk.Spinline(law=rk.Newtonian(1.6), **k),
        dict(
            flow_rate=12 * mm**3, bore=0.84 * mm, winding_speed=0.126, gap=2 * mm, start_temperature=307.0, density=1090.0,
            heat_capacity=3300.0, surface_tension=0.05, water_fraction=0.66, air_temperature=295.0, relative_humidity=0.5,
            draught=0.05, water_activity=0.98,
        ),
        dict(start_temperature="temperature", water_fraction="wet_water_content"),
    ),
}  # fmt: skip
NUMBERS = [(entry, name) for entry, (_, given, _) in ENTRIES.items() for name in given]
COLUMNS = {
    ("FlowCurve", "shear_rate"),
    ("FlowCurve", "shear_stress"),
    ("CylinderSlump", "slump"),
    ("FlowCalibration", "masses"),
}


def quantity(entry, name):
    return QUANTITIES[ENTRIES[entry][2].get(name, name)]


def called(entry, **changed):
    act, given, _ = ENTRIES[entry]
    return act(**{**given, **changed})


def thin_fibre(**changed):
    return rk.FibreJob(throughput=10 * mm**3, winding_speed=0.1, gap=4 * mm, **changed)


TEMPERATURES = [name for name, about in QUANTITIES.items() if about.unit == "K" and about.likely[0] > 0]


@pytest.mark.parametrize("name", TEMPERATURES)
def test_degrees_given_as_kelvins_are_refused_wherever_a_temperature_is_asked(name):
    """Of each temperature that the nomenclature knows, up to the boiling of water."""
    assert "temperature" in name
    for celsius in (1.0, 22.0, 37.0, 60.0, 99.0):
        assert celsius < QUANTITIES[name].possible[0]


def test_what_is_usual_says_nothing():
    for entry in ENTRIES:
        called(entry)


@pytest.mark.parametrize(("entry", "name"), NUMBERS)
def test_what_is_no_number_is_refused_by_name(entry, name):
    wrongs = [np.nan, "3", 1j, True, -np.inf, [1.0, np.nan], UNITS.Quantity(3.0, "candela")]
    default = default_of(entry, name)
    wrongs += (
        []
        if default is None or (entry, name) in {("Extruder", "compliance"), ("Compression", "compliance")}
        else [None]
    )
    wrongs += [] if default == np.inf else [np.inf]
    for wrong in wrongs:
        with pytest.raises(rk.DataError, match=name):
            called(entry, **{name: wrong})


def default_of(entry, name):
    act = ENTRIES[entry][0]
    known = inspect.signature(act).parameters
    if name in known:
        return known[name].default
    for kind in (rk.Paste, rk.Extruder, rk.Shifted):
        if entry == kind.__name__:
            return inspect.signature(kind).parameters[name].default
    return (
        None if name in ("inlet_diameter", "static_yield_stress", "break_loose_friction") else inspect.Parameter.empty
    )


@pytest.mark.parametrize(("entry", "name"), NUMBERS)
def test_what_cannot_be_negative_is_refused(entry, name):
    if quantity(entry, name).possible[0] >= 0:
        with pytest.raises(rk.DataError, match=name):
            called(entry, **{name: -1.0})


@pytest.mark.parametrize(("entry", "name"), NUMBERS)
def test_a_quantity_is_converted(entry, name):
    """What a registry holds in another unit gives what the SI number gives."""
    about, value = quantity(entry, name), ENTRIES[entry][1][name]
    if "ⁿ" in about.unit:
        pytest.skip("its unit depends on the flow index; held below")
    base = UNITS.Quantity(
        float(value) if np.ndim(value) == 0 else np.asarray(value, float), about.unit.replace("-", "dimensionless")
    )
    other = base.to("percent") if about.unit == "-" else base.to_compact() if np.ndim(value) == 0 else base
    found, expected = called(entry, **{name: other}), called(entry)
    if hasattr(found, "__dataclass_fields__"):
        here = name if name in {f.name for f in fields(found)} else None
        found, expected = (getattr(one, here) if here else None for one in (found, expected))
    if found is not None and not hasattr(found, "equals"):
        assert np.allclose(np.asarray(found, float), np.asarray(expected, float), rtol=1e-9, equal_nan=True)


@pytest.mark.parametrize(("entry", "name"), NUMBERS)
def test_a_thousand_times_what_is_likely_is_never_silent(entry, name):
    low, high = quantity(entry, name).likely
    if (low, high) == ANY:
        pytest.skip("no range")
    with pytest.raises((rk.DataError, rk.RheokitWarning)):
        called(entry, **{name: 1000 * high * (np.ones(3) if (entry, name) in COLUMNS else 1.0)})


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda: NOZZLE.pressure_drop(LAW, np.nan),
            "Nozzle.pressure_drop: flow_rate = nan m³/s is no finite number; give it in m³/s.",
        ),
        (
            lambda: rk.Specimen(temperature=21.0),
            "Specimen: temperature = 21 K cannot be below -100 °C (did you mean 21 °C? That is 294.15 K).",
        ),
        (
            lambda: thin_fibre(nozzle_temperature=36.0),
            "FibreJob: nozzle_temperature = 36 K cannot be below -100 °C (did you mean 36 °C? That is 309.15 K).",
        ),
        (
            lambda: thin_fibre(air_temperature=270.0),
            "FibreJob: air_temperature = 270 K must be at least 0 °C, 273.15 K: colder, water freezes, and what it gives to the "
            "air is not known.",
        ),
        (
            lambda: rk.Paste(law=rk.Newtonian(1.6), gel_temperature=304.15).law_at(34.0),
            "Paste.law_at: temperature = 34 K cannot be below -100 °C (did you mean 34 °C? That is 307.15 K).",
        ),
        (
            lambda: fibre.thread_heat_transfer(np.full(3, 0.3 * mm), np.full(4, 0.1)),
            "thread_heat_transfer: diameter with shape (3,) and speed with shape (4,) do not fit each other; give one number or as "
            "many of the one as of the other.",
        ),
        (
            lambda: fibre.thread_heat_transfer(0.0, 0.1),
            "thread_heat_transfer: diameter = 0 m must be above 0 and finite.",
        ),
        (
            lambda: fibre.growth_rate([5.0, 25.0]),
            "growth_rate: draw_ratio has shape (2,); give one number, and ask for each of several in turn.",
        ),
        (
            lambda: fibre.neutral_draw_ratio([0.8, 0.9]),
            "neutral_draw_ratio: flow_index has shape (2,); give one number, and ask for each of several in turn.",
        ),
        (
            lambda: NOZZLE.pressure_drop(LAW, None),
            "Nozzle.pressure_drop: flow_rate = None is no number; give it in m³/s.",
        ),
        (
            lambda: NOZZLE.pressure_drop(LAW, -23e-9),
            "Nozzle.pressure_drop: flow_rate = -2.3e-08 m³/s cannot be negative.",
        ),
        (
            lambda: NOZZLE.pressure_drop(LAW, UNITS.Quantity(23, "mm")),
            "Nozzle.pressure_drop: flow_rate = 23 millimeter is in another dimension than flow_rate, m³/s: that is a "
            "volume flow.",
        ),
        (lambda: rk.Paste(law=LAW, static_ratio=0), "Paste: static_ratio = 0 must be above 0 and finite."),
        (
            lambda: rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, nozzle=NOZZLE, barrel_drag=50),
            "Extruder: barrel_drag = 50 cannot be above 1.2.",
        ),
        (
            lambda: rk.Cylinder(diameter=20, length=8 * mm),
            "Cylinder: diameter = 20 m is wider than any nozzle or barrel rheokit knows (0.2 m). Lengths are in metres; did "
            "you mean 20*mm?",
        ),
        (lambda: rk.Slip(coefficient=-1e-7, threshold=300.0), "Slip: coefficient = -1e-07 m/(Pa·s) cannot be negative."),
        (
            lambda: rk.HerschelBulkley(yield_stress=650.0, consistency=0.0, flow_index=0.4),
            "HerschelBulkley: consistency = 0 Pa·sⁿ lies outside (0, inf] Pa·sⁿ; check the value and its unit.",
        ),
        (
            lambda: rk.Bingham(yield_stress=650.0, plastic_viscosity=0.0),
            "Bingham: plastic_viscosity = 0 Pa·s lies outside (0, inf] Pa·s; check the value and its unit.",
        ),
        (
            lambda: rk.Paste(law=LAW, grain_size=0.4 * mm, largest_grain=0.2 * mm),
            "Paste: grain_size = 0.4 mm is above largest_grain = 0.2 mm: nine grains in ten are smaller than the first, all than "
            "the second; correct one of them.",
        ),
        (
            lambda: rk.Material(paste=rk.Paste(law=LAW), spreads={"density": np.nan}),
            "Material: spread of density = nan is no finite number; give a plain one.",
        ),
        (
            lambda: rk.fit(rk.Bingham, rk.FlowCurve(**CURVE), use_range=(np.nan, 3.0)),
            "fit: use_range = nan 1/s is no finite number; give it in 1/s.",
        ),
    ],
)  # fmt: skip
def test_refusals_in_full(act, message):
    with pytest.raises(rk.DataError) as caught:
        act()
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda: NOZZLE.pressure_drop(LAW, 23),
            "Nozzle.pressure_drop: flow_rate = 23 m³/s is outside 0 to 100 mL/s, where it usually lies (did you mean "
            "23*mm**3/s?). It is computed with as it stands: check value and unit.",
        ),
        (
            lambda: rk.Paste(law=LAW, density=1.1),
            "Paste: density = 1.1 kg/m³ is outside 500 to 3500 kg/m³, where it usually lies (did you mean 1.1*g/cm**3?). It "
            "is computed with as it stands: check value and unit.",
        ),
        (
            lambda: rk.CylinderSlump(**{**SLUMP, "density": 1.11}),
            "cylinder slump: density = 1.11 kg/m³ is outside 500 to 3500 kg/m³, where it usually lies (did you mean "
            "1.11*g/cm**3?). It is computed with as it stands: check value and unit.",
        ),
    ],
)  # fmt: skip
def test_doubts_in_full_once_and_at_the_line_that_gave_them(act, message):
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        act()
    assert [str(one.message) for one in caught] == [message]
    assert caught[0].category is rk.UnlikelyWarning
    assert caught[0].filename == __file__


def test_no_flow_is_the_start_pressure():
    assert NOZZLE.pressure_drop(LAW, 0.0) == pytest.approx(NOZZLE.start_pressure(LAW), rel=1e-9)


def test_a_consistency_is_converted_with_the_flow_index_of_its_law():
    """0.210 kPa·s^0.38 is 210 Pa·s^0.38; with another power of time it is refused."""
    power = UNITS.Quantity(0.210, "kPa*s**0.38")
    assert rk.HerschelBulkley(650.0, power, 0.38).consistency == pytest.approx(210.0, rel=1e-12)
    with pytest.raises(rk.DataError, match=r"consistency = .* is in another dimension"):
        rk.HerschelBulkley(650.0, power, 0.5)


def test_a_list_of_quantities_keeps_its_units():
    slump = rk.CylinderSlump(**{**SLUMP, "slump": [UNITS.Quantity(20, "mm"), UNITS.Quantity(2.1, "cm")]})
    assert np.allclose(slump.slump, [0.020, 0.021], rtol=1e-12)


def test_a_law_written_by_a_user_is_guarded_too():
    from dataclasses import dataclass

    @dataclass(frozen=True, eq=False)
    class Own(rk.FlowLaw):
        viscosity: float = rk.parameter("η", "Pa·s", "shear stress over shear rate", logarithmic=True)

        def shear_stress(self, shear_rate):
            return self.viscosity * np.asarray(shear_rate, float)[()]

    for act in (
        lambda: Own(np.nan),
        lambda: Own(0.0),
        lambda: Own(1.0).shear_stress(-1.0),
        lambda: Own(1.0).shear_rate(None),
    ):
        with pytest.raises(rk.DataError):
            act()
    assert Own(UNITS.Quantity(1.0, "kPa*s")).viscosity == 1000.0


def test_work_inside_is_trusted_and_the_trust_ends_with_it():
    with trusted():
        assert np.isnan(rk.HerschelBulkley(650.0, np.nan, 0.4).consistency)
    with pytest.raises(rk.DataError):
        rk.HerschelBulkley(650.0, np.nan, 0.4)


def test_what_is_called_inside_a_guarded_function_is_not_asked_again():
    @guarded
    def outer(density):
        return shape.sag_stress(density, 5000.0)

    assert outer(1110.0) > 0
    with pytest.raises(rk.UnlikelyWarning, match="outer: density"):
        outer(1.1)


def test_likely_values_are_possible_and_three_words_make_a_quantity():
    assert Quantity("x", "m", "something").likely == ANY
    for name, about in QUANTITIES.items():
        low, high = about.likely
        assert low < high, name
        assert about.likely == ANY or (about.possible[0] <= low and high <= about.possible[1]), name


def test_numbers_of_public_functions_stand_in_the_table():
    """Every number of a plain function that its docstring declares is one that the guard looks at."""
    for module in (shape, drying, shrinkage, calibration, water.amounts, gauges):
        for name, thing in vars(module).items():
            if inspect.isfunction(thing) and thing.__module__ == module.__name__ and name != "premix":
                numbers = [p for p in inspect.signature(thing).parameters if p in QUANTITIES]
                assert not numbers or hasattr(thing, "__wrapped__"), f"{module.__name__}.{name}"


def test_every_function_of_fibres_looks_at_its_numbers():
    for name in fibre.__all__:
        thing = getattr(fibre, name)
        assert not inspect.isfunction(thing) or hasattr(thing, "__wrapped__"), name


def test_no_library_of_units_is_loaded_for_it():
    code = "import sys, rheokit; rheokit.Cylinder(diameter=1e-3, length=1e-2); print('pint' in sys.modules)"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "False"
