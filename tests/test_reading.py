"""Bench folders as a student types them, to SI values worked out by hand.

Kind of the checks here: exact (factors of units by their definition, 9.81 m/s² as bench practice has it, water bases by
their definition u = x/(1-x)), unless said otherwise beside the check.
"""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
import openpyxl
import pytest
from worked import bench_results, examples_of, worked_record

import rheokit as rk
from rheokit.bench import KINDS, BenchTest, column, dimension
from rheokit.nomenclature import Quantity
from rheokit.reading.forms import form_of

SPECIMEN = '[specimen]\npaste = "p"\ndensity = "1.11 g/cm3"\n'


def folder_of(path, toml, **files):
    """Write a folder of bench.toml and CSV files by stem."""
    path.mkdir()
    (path / "bench.toml").write_text(SPECIMEN + toml, encoding="utf-8")
    for stem, text in files.items():
        (path / f"{stem}.csv").write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def one(tmp_path, kind, keys, text):
    """Return the one test of a bench of one kind."""
    path = folder_of(tmp_path / "bench", f'[[test]]\nkind = "{kind}"\nfile = "t.csv"\n{keys}', t=text)
    (test,) = rk.read_bench(path).tests
    return test


# --- every kind, by hand --------------------------------------------------------------------------------------------

NOZZLE = 'bore = "2.00 mm"\nlength = "2 cm"\n'
BARREL = 'barrel_diameter = "20 mm"\nfill_length = "6 cm"\nplunger_friction = "8 N"\n'
AREA = np.pi * 0.020**2 / 4

BY_HAND = [
    ("flow curve", "", "shear rate [1/min], shear stress [kPa]\n6, 0.25\n60, .5\n", dict(shear_rate=[0.1, 1.0], shear_stress=[250.0, 500.0])),
    ("vane peak", 'vane_diameter = "20 mm"\nvane_height = "4 cm"', "torque [mN m]\n12.5\n", dict(vane_diameter=0.02, vane_height=0.04, torque=[0.0125])),
    (
        "cylinder slump",
        'height = "100 mm"\ndiameter = "0.1 m"',
        "Slump [cm]\n3.5\n",
        dict(height=0.1, diameter=0.1, density=1110.0, slump=[0.035]),
    ),
    (
        "frustum slump",
        'height = "300 mm"\ntop_diameter = "100 mm"\nbottom_diameter = "200 mm"\ndensity = "1200 kg/m3"',
        "slump [mm], run order [-]\n90, 2\n95, 1\n",
        dict(height=0.3, top_diameter=0.1, bottom_diameter=0.2, density=1200.0, slump=[0.09, 0.095], run_order=[2, 1]),
    ),
    ("spread", 'volume = "100 mL"', "radius [mm]\n120\n", dict(volume=1e-4, density=1110.0, radius=[0.12], rim_tension=0.005)),
    (
        "loaded plate",
        'volume = "5.0 cm3"\nload_mass = "1.00 kg"\nwall_friction = "0.8 ± 0.05"',
        "radius [mm], time [min]\n24.5, 2\n",
        dict(volume=5e-6, force=9.81, radius=[0.0245], time=[120.0], wall_friction=0.8, wall_friction_uncertainty=0.05),
    ),
    (
        "fall cone",
        'mass = "60 g"\napex_angle = "60 °"',
        "penetration [mm]\n13.5\n<25\n>1\n",
        dict(mass=0.06, apex_angle=np.pi / 3, penetration=[0.0135, 0.025, 0.001], censored=[0, -1, 1]),
    ),
    ("hanging slug", 'bore = "2.4 mm"\nsurface_tension = "50 mN/m"', "mass [g]\n0.66\n", dict(bore=0.0024, mass=[6.6e-4], surface_tension=0.05)),
    (
        "pressure run",
        NOZZLE + 'read = "pressure"\nbarrel_diameter = "20 mm"',
        "flow rate [mL/min], gauge pressure [bar]\n6, 1.5\n",
        dict(flow_rate=[1e-7], pressure=[1.5e5], inlet_diameter=0.02, read="pressure"),
    ),
    (
        "pressure run",
        NOZZLE + 'read = "flow_rate"',
        "absolute pressure [kPa], caught mass [g], catch time [s]\n201.325, 1.11, 10\n",
        dict(flow_rate=[1.11e-3 / 1110 / 10], pressure=[1e5], inlet_diameter=None),
    ),
    (
        "pressure run",
        NOZZLE + 'read = "flow_rate"\nambient_pressure = "900 hPa"',
        "flow rate [m3/s], pressure, absolute [kPa]\n1e-8, 190\n",
        dict(flow_rate=[1e-8], pressure=[1e5]),
    ),
    (
        "syringe force",
        NOZZLE + BARREL + 'read = "force"',
        "plunger speed [mm/s], force [N], stroke [mm], temperature [°C]\n0.1, 46.5, 12, 21.5\n",
        dict(flow_rate=[1e-4 * AREA], force=[46.5], stroke=[0.012], temperature=[294.65]),
    ),
    (
        "syringe force",
        NOZZLE + BARREL + 'read = "flow_rate"',
        "load mass [kg], flow rate [mm3/s]\n2, 0.5\n",
        dict(flow_rate=[5e-10], force=[19.62]),
    ),
    (
        "syringe force",
        NOZZLE + BARREL + 'read = "flow_rate"',
        "gauge pressure [kPa], flow rate [mm3/s]\n100, 0.5\n",
        dict(flow_rate=[5e-10], force=[1e5 * AREA]),
    ),
    (
        "cup density",
        'cup_volume = "100 mL"\ntrue_density = "1.150 ± 0.010 g/cm3"',
        "mass [g]\n111\n110.5\n",
        dict(cup_volume=1e-4, true_density=1150.0, true_density_uncertainty=10.0, mass=[0.111, 0.1105]),
    ),
    ("cup density", 'cup_volume = "0.1 L"', "mass [g]\n111\n", dict(cup_volume=1e-4, true_density=None, mass=[0.111])),
    (
        "lean height",
        'wall_width = "2 mm"\nwall = "long wall"',
        "height [cm], run order [-]\n1.45, 1\n",
        dict(wall_width=0.002, density=1110.0, wall="long wall", height=[0.0145]),
    ),
    ("drying shrinkage", 'axis = "z"', "dry length [mm], wet length [cm]\n46, 5\n", dict(axis="z", wet_length=[0.05], dry_length=[0.046])),
    (
        "oven moisture",
        "",
        "tare mass [g], wet mass [g], dry mass [g]\n0, 10, 5\n20, 30.5, 25\n",
        dict(tare_mass=[0, 0.02], wet_mass=[0.01, 0.0305], dry_mass=[0.005, 0.025]),
    ),
    (
        "sieve",
        "",
        "aperture [um], retained mass [g]\n250, 0\n180, 10\n90, 40\n0, 50\n",
        dict(aperture=[250e-6, 180e-6, 90e-6, 0], retained_mass=[0, 0.01, 0.04, 0.05]),
    ),
]  # fmt: skip


@pytest.mark.parametrize("case", range(len(BY_HAND)), ids=lambda k: f"{k}-{BY_HAND[k][0]}")
def test_every_kind_by_hand(tmp_path, case):
    kind, keys, text, expected = BY_HAND[case]
    test = one(tmp_path, kind, keys, text)
    assert type(test) is KINDS[kind]
    for name, value in expected.items():
        found = getattr(test, name)
        if value is None or isinstance(value, str):
            assert found == value
        else:
            np.testing.assert_allclose(found, value, rtol=1e-14, err_msg=name)


def typed(kind, example):
    """Return (keys of bench.toml, CSV) that state a worked example in SI, as its own folder would."""
    form, law = form_of(KINDS[kind]), {"yield_stress", "consistency", "flow_index"}
    given = {name: value for name, value in (example.expected | example.given).items() if name not in law}
    keys, columns = [], {}
    for name, value in given.items():
        if name in form.columns:
            columns[f"{'gauge ' * (name == 'pressure')}{name.replace('_', ' ')} [{form.quantity(name).unit}]"] = value
        elif name in form.dimensions or name in ("bore", "length"):
            unit = "m" if name in ("bore", "length") else form.quantity(name).unit
            error = f" ± {given[name + '_uncertainty']!r}" if f"{name}_uncertainty" in given else ""
            keys.append(f'{name} = "{float(value)!r}{error} {unit}"')
        elif name in form.choices:
            keys.append(f'{name} = "{value}"')
    rows = np.column_stack(np.broadcast_arrays(*map(np.atleast_1d, columns.values())))
    lines = [", ".join(columns), *(", ".join(repr(float(x)) for x in row) for row in rows)]
    return "\n".join(keys), "\n".join(lines) + "\n"


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_reads_its_worked_example(tmp_path, kind):
    for number, example in enumerate(examples_of(KINDS[kind], "see tests/test_bench.py")):
        (tmp_path / str(number)).mkdir()
        test = one(tmp_path / str(number), kind, *typed(kind, example))
        assert type(test) is KINDS[kind]
        wanted, _ = worked_record(KINDS[kind], example)
        for name in wanted.columns:
            np.testing.assert_allclose(getattr(test, name), getattr(wanted, name), rtol=1e-12, err_msg=name)
        found = bench_results(KINDS[kind], example)(example.given)
        again = test.properties() if test.gives else {test.reads: test.predict(worked_record(KINDS[kind], example)[1])}
        for name, value in again.items():  # without the errors that a folder assumes and a constructor does not
            if not test.gives:
                np.testing.assert_allclose(value, found[name], rtol=1e-12)
            else:
                assert value.value == pytest.approx(found[name], rel=1e-12)


def test_the_extruder_of_a_syringe(tmp_path):
    test = one(
        tmp_path,
        "syringe force",
        NOZZLE + BARREL + 'barrel_drag = 0.5\nread = "force"',
        "flow rate [mm3/s], force [N]\n1, 40\n",
    )
    extruder = test.extruder
    assert (extruder.barrel_diameter, extruder.fill_length, extruder.plunger_friction) == (0.02, 0.06, 8.0)
    assert (extruder.barrel_drag, extruder.nozzle.bore, extruder.nozzle.segments[0].length) == (0.5, 0.002, 0.02)


def test_a_nozzle_of_segments(tmp_path):
    keys = """read = "pressure"
nozzle = [
  {inlet_diameter = "4 mm", outlet_diameter = "1.6 mm", length = "20 mm"},
  {diameter = "1.6 mm ± 2 %", length = "8 mm"},
]"""
    test = one(tmp_path, "pressure run", keys, "flow rate [mm3/s], gauge pressure [kPa]\n1, 40\n")
    cone, land = test.nozzle.segments
    assert (cone.inlet_diameter, cone.outlet_diameter, cone.length) == (0.004, 0.0016, 0.02)
    assert (land.diameter, land.length) == (0.0016, 0.008)
    assert test.bore_uncertainty == 0.02


# --- specimen, apparatus, uncertainties -----------------------------------------------------------------------------


def test_the_specimen(tmp_path):
    path = tmp_path / "bench"
    folder_of(
        path, '[[test]]\nkind = "flow curve"\nfile = "t.csv"\n', t="shear rate [1/s], shear stress [Pa]\n1, 2.5\n"
    )
    (path / "bench.toml").write_text(
        '[specimen]\npaste = "olive & stone"\nbatch = "A"\ndate = 2026-03-02\ndensity = "1110 ± 5 kg/m3"\nair_content = "3.4 %"\n'
        'temperature = "70 °F"\nage = "12 h"\nwater_content = "50 %"\nwater_basis = "wet"\ninvented = true\nnote = "a\\nb"\n'
        '[[test]]\nkind = "flow curve"\nfile = "t.csv"\n',
        encoding="utf-8",
    )
    bench = rk.read_bench(path)
    s = bench.specimen
    assert (s.paste, s.batch, s.date, s.density, s.air_content, s.age, s.invented, s.note) == (
        "olive & stone", "A", "2026-03-02", 1110.0, 0.034, 43200.0, True, "a\nb",
    )  # fmt: skip
    assert s.temperature == pytest.approx((70 - 32) * 5 / 9 + 273.15, rel=1e-15)
    assert s.water_content == 1.0  # half water, half dry: as much water as dry mass
    assert bench.tests[0].batch == "A"


@pytest.mark.parametrize(("basis", "expected"), [("dry", 0.5), ("wet", 1 / 3 / (1 - 1 / 3))])
def test_water_bases(tmp_path, basis, expected):
    text = f'[specimen]\nwater_content = {0.5 if basis == "dry" else 1 / 3}\nwater_basis = "{basis}"\n[[test]]\nkind = "vane peak"\n'
    path = folder_of(tmp_path / "bench", "", t="torque [N m]\n0.01\n")
    (path / "bench.toml").write_text(
        text + 'file = "t.csv"\nvane_diameter = "20 mm"\nvane_height = "40 mm"\n', encoding="utf-8"
    )
    assert rk.read_bench(path).specimen.water_content == expected


@pytest.mark.parametrize(
    ("text", "value", "spread"),
    [
        ("26.70 ± 0.05 mm", 0.0267, 5e-5),
        ("26.70 +- 0.05 mm", 0.0267, 5e-5),
        ("26.70+/-0.05mm", 0.0267, 5e-5),
        ("(26.70 ± 0.05) mm", 0.0267, 5e-5),
        ("26.70 mm ± 0.05 mm", 0.0267, 5e-5),
        ("26.70 mm ± 50 um", 0.0267, 5e-5),
        ("2.67 cm ± 1 %", 0.0267, 2.67e-4),
    ],
)
def test_uncertainties_of_dimensions(text, value, spread):
    from rheokit.reading.stated import stated_number

    stated = stated_number(text, "m")
    assert stated.value == value
    assert stated.uncertainty == pytest.approx(spread, rel=1e-15)


def test_uncertainty_of_a_temperature_is_a_difference():
    from rheokit.reading.stated import stated_number

    stated = stated_number("21 ± 0.5 °C", "K")
    assert (stated.value, stated.uncertainty) == (294.15, 0.5)


def test_a_dimension_of_the_test_counts_before_its_apparatus(tmp_path):
    toml = (
        f"[apparatus.rig]\n{BARREL}{NOZZLE}"
        '[[test]]\nkind = "syringe force"\nfile = "a.csv"\napparatus = "rig"\nread = "force"\n'
        '[[test]]\nkind = "syringe force"\nfile = "b.csv"\napparatus = "rig"\nread = "force"\nlength = "40 mm"\n'
        '[[test]]\nkind = "syringe force"\nfile = "c.csv"\napparatus = "rig"\nread = "force"\n'
        'nozzle = [{inlet_diameter = "4 mm", outlet_diameter = "1 mm", length = "9 mm"}]\n'
        '[[test]]\nkind = "pressure run"\nfile = "d.csv"\napparatus = "rig"\nread = "pressure"\nbarrel_diameter = "none"\n'
    )
    rows = "flow rate [mm3/s], force [N]\n1, 40\n"
    path = folder_of(
        tmp_path / "bench", toml, a=rows, b=rows, c=rows, d="flow rate [mm3/s], gauge pressure [kPa]\n1, 40\n"
    )
    a, b, c, d = rk.read_bench(path).tests
    assert [t.extruder.nozzle.segments[0].length for t in (a, b, c)] == [0.02, 0.04, 0.009]
    assert [t.extruder.nozzle.bore for t in (a, b, c)] == [0.002, 0.002, 0.001]
    assert set(a.nuisances()) & set(b.nuisances()) >= {"plunger_friction[rig]"}
    assert d.inlet_diameter is None


@pytest.mark.parametrize(
    ("written", "absolute", "relative"),
    [('"0.5 mm"', 5e-4, None), ('"3 %"', None, 0.03), ('["3 %", "0.5 mm"]', 5e-4, 0.03)],
)
def test_uncertainty_of_the_readings(tmp_path, written, absolute, relative):
    test = one(
        tmp_path,
        "cylinder slump",
        f'height = "100 mm"\ndiameter = "100 mm"\nuncertainty = {written}',
        "slump [mm]\n35\n",
    )
    assert (test.uncertainty, test.relative_uncertainty) == (absolute, relative)


def test_uncertainty_by_row(tmp_path):
    text = "slump [mm], uncertainty [cm], relative uncertainty [%]\n35, 0.1, 2\n38, 0.2, 3\n"
    test = one(tmp_path, "cylinder slump", 'height = "100 mm"\ndiameter = "100 mm"', text)
    np.testing.assert_array_equal(test.uncertainty, [0.001, 0.002])
    np.testing.assert_array_equal(test.relative_uncertainty, [0.02, 0.03])


def test_unusual_values_are_read_where_they_are_meant(tmp_path):
    keys = 'bore = "15 mm"\nlength = "100 mm"\nread = "pressure"\nunusual = ["bore"]'
    assert one(tmp_path, "pressure run", keys, "flow rate [mL/min], gauge pressure [kPa]\n1, 40\n").nozzle.bore == 0.015


# --- what the reader fills in ---------------------------------------------------------------------------------------


def test_what_is_filled_in_is_said(tmp_path):
    toml = (
        f'[apparatus.rig]\n{BARREL}{NOZZLE}[[test]]\nkind = "syringe force"\nfile = "a.csv"\napparatus = "rig"\nread = "force"\n'
        '[[test]]\nkind = "loaded plate"\nfile = "b.csv"\nvolume = "5 mL"\nforce = "9.81 N"\n'
    )
    path = folder_of(tmp_path / "bench", toml, a="flow rate [mm3/s], force [N]\n1, 40\n", b="radius [mm]\n25\n")
    bench = rk.read_bench(path)
    run, plate = bench.tests
    # common practice, no source: 1 % of a bore, 1 N of a friction, 0.9 ± 0.1 of a rough plate, 0.10 and 0.15 of the theories
    assert (run.bore_uncertainty, run.plunger_friction_uncertainty, run.model_error) == (0.01, 1.0, 0.10)
    assert (plate.wall_friction, plate.wall_friction_uncertainty, plate.model_error) == (0.9, 0.1, 0.15)
    notes = "\n".join(bench.origin.notes)
    for words in (
        "the uncertainty of bore is not stated; 1 % was taken",
        "the uncertainty of plunger_friction is not stated; 1 N was taken",
        "wall_friction is not stated; 0.9 ± 0.1 was taken",
        "syringe force: model_error is not stated; 0.1 was taken",
        "loaded plate: model_error is not stated; 0.15 was taken",
        "barrel_drag was taken as exactly 1",
    ):
        assert words in notes, notes


def test_a_stated_model_error_stays(tmp_path):
    keys = 'height = "100 ± 5 mm"\ndiameter = "100 mm"\nmodel_error = 0.12\nmodel_error_reason = "held to a vane"'
    assert one(tmp_path, "cylinder slump", keys, "slump [mm]\n35\n").model_error == 0.12


def test_uncertainty_of_a_dimension_enters_the_model_error(tmp_path):
    """A cone's strength goes with its mass: 10 % of mass is 0.0953 of ln stress, beside the usual 0.30."""
    test = one(tmp_path, "fall cone", 'mass = "60 g ± 10 %"\napex_angle = "60 deg"', "penetration [mm]\n13.5\n")
    assert test.model_error == pytest.approx(np.hypot(0.30, np.log(1.1)), rel=1e-12)


@pytest.mark.parametrize(("second", "expected"), [("40 mm", 0.05), ("20 mm", 0.10)])
def test_model_error_of_one_and_of_two_lengths(tmp_path, second, expected):
    """Common practice, no source: 0.05 where two lengths tell the end loss from the wall, else 0.10."""
    test = '[[test]]\nkind = "pressure run"\nfile = "{}.csv"\nread = "pressure"\nbore = "2 mm"\nlength = "{}"\n'
    rows = "flow rate [mm3/s], gauge pressure [kPa]\n1, 40\n"
    path = folder_of(tmp_path / "bench", test.format("a", "20 mm") + test.format("b", second), a=rows, b=rows)
    assert [t.model_error for t in rk.read_bench(path).tests] == [expected, expected]


def test_absolute_pressures_are_said_to_be_taken_against_the_standard_air(tmp_path):
    keys = NOZZLE + 'read = "pressure"'
    path = folder_of(
        tmp_path / "bench",
        f'[[test]]\nkind = "pressure run"\nfile = "t.csv"\n{keys}',
        t="flow rate [mm3/s], absolute pressure [kPa]\n1, 201\n",
    )
    assert any("101.325 kPa around" in note for note in rk.read_bench(path).origin.notes)


# --- dialects of a table --------------------------------------------------------------------------------------------

SAME = [
    ("plain", b"shear rate [1/s], shear stress [Pa]\n0.5, 250.5\n10, 1000\n", ""),
    ("no spaces", b"shear rate [1/s],shear stress [Pa]\n0.5,250.5\n10,1000\n", ""),
    ("carriage returns", b"shear rate [1/s],shear stress [Pa]\r\n0.5,250.5\r\n10,1000\r\n", ""),
    ("old carriage returns", b"shear rate [1/s],shear stress [Pa]\r0.5,250.5\r10,1000", ""),
    ("mark of byte order", b"\xef\xbb\xbfshear rate [1/s],shear stress [Pa]\n0.5,250.5\n10,1000\n", ""),
    ("semicolons", b"shear rate [1/s];shear stress [Pa]\n0.5;250.5\n10;1000\n", ""),
    ("semicolons and decimal commas", b"shear rate [1/s];shear stress [Pa]\n0,5;250,5\n10;1000\n", ""),
    ("tabs and decimal commas", b"shear rate [1/s]\tshear stress [Pa]\n0,5\t250,5\n10\t1000\n", ""),
    ("quoted decimal commas", b'"shear rate [1/s]","shear stress [Pa]"\n"0,5","250,5"\n10,1000\n', ""),
    ("stated decimal comma", b"shear rate [1/s];shear stress [kPa]\n0,5;0,2505\n10;1,000\n", 'decimal = "comma"'),
    ("stated point", b"shear rate [1/s];shear stress [kPa]\n0.5;0.2505\n10;1.000\n", 'decimal = "point"'),
    (
        "comments and blank lines",
        b"# a, b\n\n shear rate [1/s], shear stress [Pa]\n# c\n0.5, 250.5\n\n,\n10, 1e3\n  # d\n",
        "",
    ),
    ("empty columns of a spreadsheet", b"shear rate [1/s],shear stress [Pa],,\n0.5,250.5,,\n10,1000,,\n,,,\n", ""),
    ("other order and case", b"Shear Stress [Pa], SHEAR_RATE [s-1]\n250.5, 0.5\n1000, 10\n", ""),
]


@pytest.mark.parametrize(("text", "keys"), [s[1:] for s in SAME], ids=[s[0] for s in SAME])
def test_dialects_of_csv(tmp_path, text, keys):
    test = one(tmp_path, "flow curve", keys, text)
    np.testing.assert_array_equal(test.shear_rate, [0.5, 10.0])
    np.testing.assert_array_equal(test.shear_stress, [250.5, 1000.0])


def test_a_stated_separator_settles_doubt(tmp_path):
    test = one(tmp_path, "flow curve", 'separator = "comma"', "shear rate [1/s],shear stress [Pa]\n1,250\n10,1000\n")
    np.testing.assert_array_equal(test.shear_stress, [250.0, 1000.0])


def test_one_column_with_decimal_commas(tmp_path):
    test = one(
        tmp_path,
        "vane peak",
        'vane_diameter = "20 mm"\nvane_height = "40 mm"\ndecimal = "comma"',
        "torque [mN m]\n12,5\n13\n",
    )
    np.testing.assert_array_equal(test.torque, [0.0125, 0.013])


def test_one_column_with_decimal_commas_is_told_what_to_write(tmp_path):
    typed = 'vane_diameter = "20 mm"\nvane_height = "40 mm"'
    with pytest.raises(rk.ReadingError) as caught:
        one(tmp_path, "vane peak", typed, "torque [mN m]\n12,5\n13\n")
    assert caught.value.faults == (
        "t.csv, row 2: 2 cells under 1 header ('12,5'); if that is a decimal comma, write decimal = \"comma\" in its "
        "[[test]]",
    )


def test_a_workbook(tmp_path):
    path = folder_of(tmp_path / "bench", '[[test]]\nkind = "flow curve"\nfile = "t.xlsx"\nsheet = "b"\n')
    book = openpyxl.Workbook()
    book.active.append(["notes"])
    sheet = book.create_sheet("b")
    for row in (["# steady"], ["shear rate [1/s]", "shear stress [Pa]"], [0.5, 250.5], [], [10, "1000"]):
        sheet.append(row)
    book.save(path / "t.xlsx")
    (test,) = rk.read_bench(path).tests
    np.testing.assert_array_equal(test.shear_rate, [0.5, 10.0])
    np.testing.assert_array_equal(test.shear_stress, [250.5, 1000.0])


# --- no folder -----------------------------------------------------------------------------------------------------
REMEDY = "name the folder that holds bench.toml"
MAKE = f"{REMEDY}, or make one to fill in with new_bench"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (
            "olive-past",
            f"there is no such folder: '{{here}}' holds no 'olive-past'; {MAKE}; did you mean 'olive-paste'?",
        ),
        ("far/away", f"there is no such folder: '{{here}}' holds no 'far'; {MAKE}"),
        ("a\nb", f"there is no such folder: '{{here}}' holds no 'a\\nb'; {MAKE}"),
        ("a\0b", f"there is no such folder: '{{here}}' holds no 'a\\x00b'; {MAKE}"),
        ("olive-paste/bench.toml", f"it is a file, so there is no such folder; {REMEDY}"),
    ],
)
def test_a_folder_that_is_not_there_is_named_with_what_to_do(tmp_path, monkeypatch, typed, words):
    folder_of(
        tmp_path / "olive-paste",
        '[[test]]\nkind = "spread"\nfile = "t.csv"\nvolume = "100 mL"\n',
        t="radius [mm]\n120\n",
    )
    monkeypatch.chdir(tmp_path)
    with pytest.raises(rk.ReadingError) as caught:
        rk.read_bench(typed)
    shown = typed.replace("\n", "\\n").replace("\0", "\\x00")
    assert str(caught.value) == f"'{shown}': " + words.format(here=tmp_path)


def test_a_folder_with_a_name_too_long_for_the_disk_is_answered_too():
    with pytest.raises(rk.ReadingError, match="there is no such folder"):
        rk.read_bench("paste" * 2000)


def test_a_folder_without_bench_toml_says_what_it_lacks(tmp_path, monkeypatch):
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path)
    with pytest.raises(rk.ReadingError) as caught:
        rk.read_bench("empty")
    assert str(caught.value) == (
        "bench.toml: there is no such file in 'empty'; a bench folder holds bench.toml and one file of readings a test"
    )


# --- a kind that the reader has never heard of ----------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True, eq=False)
class Penetrometer(BenchTest):
    """A bench test of the user's own."""

    kind: ClassVar[str] = "penetrometer"
    reads: ClassVar[str] = "push"
    default_model_error: ClassVar[float] = 0.2

    tip_area: float = dimension(quantity=Quantity("A", "m²", "section of the tip"))
    push: np.ndarray = column(quantity=Quantity("F", "N", "force on the tip"))

    def expected(self, law, nuisance):
        return 9 * law.yield_stress * self.tip_area * np.ones_like(self.push)


def test_a_new_kind_is_read_written_and_made_without_a_word_to_the_reader(tmp_path, monkeypatch):
    monkeypatch.setitem(KINDS, "penetrometer", Penetrometer)
    rk.new_bench(tmp_path / "bench", "penetrometer")
    toml = (tmp_path / "bench" / "bench.toml").read_text(encoding="utf-8")
    (tmp_path / "bench" / "bench.toml").write_text(
        toml.replace('tip_area = ""', 'tip_area = "30 mm2"'), encoding="utf-8"
    )
    with (tmp_path / "bench" / "penetrometer.csv").open("a", encoding="utf-8") as opened:
        opened.write("1.25\n")
    (test,) = rk.read_bench(tmp_path / "bench").tests
    assert (test.tip_area, test.push[0], test.model_error) == (3e-5, 1.25, 0.2)
    made = Penetrometer(tip_area=1e-5 / 3, push=[1.1])
    (back,) = rk.write_bench(rk.Bench(rk.Specimen(), [made]), tmp_path / "new").tests
    assert (back.tip_area, back.push[0]) == (1e-5 / 3, 1.1)


# --- what a specimen states -----------------------------------------------------------------------------------------

CAUGHT = """[[test]]
kind = "pressure run"
file = "t.csv"
bore = "2 mm"
length = "20 mm"
read = "flow_rate"
"""
CAUGHT_ROWS = "caught mass [g], catch time [s], gauge pressure [kPa]\n3, 30, 200\n6, 30, 250\n9, 30, 300\n"


def stated(tmp_path, *lines):
    """Return the folder of a run by caught mass whose specimen has these lines."""
    folder = tmp_path / "stated"
    folder.mkdir(exist_ok=True)
    (folder / "bench.toml").write_text("\n".join(["[specimen]", *lines, CAUGHT]), encoding="utf-8")
    (folder / "t.csv").write_text(CAUGHT_ROWS, encoding="utf-8")
    return folder


def test_an_uncertainty_that_a_specimen_states_is_kept(tmp_path):
    """Kind: exact. 8/1180; of 30 ± 1 % wet, u = x/(1 - x): du/u = dx/x(1 - x) = 0.01/(0.3 * 0.7)."""
    lines = ('density = "1180 ± 8 kg/m3"', 'water_content = "30 ± 1 %"', 'water_basis = "wet"', 'air_content = "3 %"')
    bench = rk.read_bench(stated(tmp_path, *lines))
    assert bench.specimen.spreads == {
        "density": pytest.approx(8 / 1180, rel=1e-5),
        "water_content": pytest.approx(1 / 21, rel=1e-5),
    }
    material = rk.Material.of(rk.fit(rk.PowerLaw, bench))
    assert material.spread("density") == bench.specimen.spreads["density"]
    assert material.spread("water_content") == bench.specimen.spreads["water_content"]
    assert material.origin("density") == "measured: stated of the specimen"
    assert material.origin("air_content") == "measured: stated of the specimen, its spread assumed"
    rk.write_bench(rk.Bench(bench.specimen, bench.tests), tmp_path / "again")
    assert rk.read_bench(tmp_path / "again").specimen == bench.specimen


def test_a_density_that_cannot_be_read_is_told_and_ends_nothing_else(tmp_path):
    with pytest.raises(rk.ReadingError) as refusal:
        rk.read_bench(stated(tmp_path, 'density = "1180 ± 2 %"'))
    assert "bench.toml, [specimen]: density = " in str(refusal.value)


# --- the condition of a test ------------------------------------------------------------------------------------------

CURVE = "shear rate [1/s], shear stress [Pa]\n1, 250\n10, 500\n"


def test_a_condition_of_a_test_goes_before_that_of_its_specimen(tmp_path):
    """Kind: exact. 45 °C = 318.15 K, 24 h = 86400 s, 95 % on the dry basis."""
    keys = (
        '[[test]]\nkind = "flow curve"\nfile = "a.csv"\ntemperature = "45 °C"\nage = "24 h"\nwater_content = "95 %"\n'
    )
    more = '[[test]]\nkind = "flow curve"\nfile = "b.csv"\n'
    columns = "shear rate [1/s], shear stress [Pa], temperature [°C], age [h], water content [%]\n1, 251, 20, 1, 90\n10, 502, 21, 2, 90\n"
    path = folder_of(tmp_path / "bench", f'temperature = "21 °C"\nage = "2 h"\n{keys}{more}', a=CURVE, b=columns)
    (path / "c.csv").write_text(CURVE.replace("250", "255"), encoding="utf-8")
    with (path / "bench.toml").open("a", encoding="utf-8") as file:
        file.write('[[test]]\nkind = "flow curve"\nfile = "c.csv"\n')
    stated, read, lent = rk.read_bench(path).tests
    assert stated.conditions == pytest.approx({"temperature": 318.15, "water_content": 0.95, "age": 86400.0})
    assert read.conditions["temperature"] == pytest.approx([293.15, 294.15])
    assert read.conditions["age"] == pytest.approx([3600.0, 7200.0])
    assert read.conditions["water_content"] == pytest.approx(0.9)
    assert lent.conditions == pytest.approx({"temperature": 294.15, "age": 7200.0})


def test_a_bench_with_conditions_is_written_as_it_was_read(tmp_path):
    keys = '[[test]]\nkind = "flow curve"\nfile = "t.csv"\ntemperature = "45 °C"\n'
    bench = rk.read_bench(folder_of(tmp_path / "bench", f'age = "2 h"\n{keys}', t=CURVE))
    rk.write_bench(bench, tmp_path / "again")
    assert (tmp_path / "again/bench.toml").read_bytes() == (tmp_path / "bench/bench.toml").read_bytes()
    warm = rk.Bench(
        bench.specimen, [rk.FlowCurve(shear_rate=[1.0, 10.0], shear_stress=[3.0, 4.0], temperature=300.0, age=3600.0)]
    )
    rk.write_bench(warm, tmp_path / "new")
    (test,) = rk.read_bench(tmp_path / "new").tests
    assert test.conditions == {"temperature": 300.0, "age": 3600.0}


def test_a_condition_that_is_stated_twice_or_cannot_be_is_refused(tmp_path):
    keys = '[[test]]\nkind = "flow curve"\nfile = "t.csv"\ntemperature = "45 °C"\nage = "24"\n'
    columns = "shear rate [1/s], shear stress [Pa], temperature [°C]\n1, 250, 20\n10, 500, 20\n"
    with pytest.raises(rk.ReadingError) as refused:
        rk.read_bench(folder_of(tmp_path / "bench", keys, t=columns))
    told = str(refused.value)
    assert "bench.toml, [[test]] 1: temperature stands here and as a column of its file; take one of them away" in told
    assert "bench.toml, [[test]] 1: age = " in told
