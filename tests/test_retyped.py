"""A file of readings of which something changed: only the cells that must change are typed anew. Kind: exact."""

from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.reading.compare import differences
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files
from rheokit.reading.writer import bench_files

TOML = """\
[specimen]
paste = "clay"   # from the bag
density = "1.0850 g/cm3"

[apparatus.syringe]
barrel_diameter = "0.753 in"
fill_length = "4.70 cm"
plunger_friction = "0.512 ± 0.080 kgf"

[apparatus.plate]
volume = "7.50 mL"
force = "0.642 kgf ± 2 %"

[[test]]   # first
kind = "syringe force"
file = "speed.csv"
apparatus = "syringe"
bore = "1.370 mm ± 1 %"
length = "25.40 mm"
read = "force"
uncertainty = ["0.30 N", "3.0 %"]   # of the cell

[[test]]
kind = "loaded plate"
file = "plate.csv"
apparatus = "plate"
uncertainty = "2.0 %"

[[test]]
kind = "syringe force"
file = "caught.csv"
apparatus = "syringe"
bore = "2.050 mm"
length = "1.00 in"
read = "flow_rate"

[[test]]
kind = "fall cone"
file = "cone.csv"
mass = "81.0 g"
apex_angle = "30.0 deg"
"""
SPEED, PLATE, CAUGHT, CONE = range(4)
FILES = {
    "bench.toml": TOML,
    "speed.csv": "# by hand ; slow\nForce [N] ; Plunger Speed [mm/s];temperature [°C]\n31,90;0,0110;21,0\n# stopped\n40,7;0,043;21,5\n 52,30 ;1,7e-1;22\n71,8;0,66;22\n",
    "plate.csv": "radius [cm]\n2.810\n2.89\n\n2.770\n# end",
    "caught.csv": "caught mass [g], catch time [min], load mass [kg]\n1.10, 1, 3.200\n2.0, 0.50, 4.1\n5, .5, 5.55\n",
    "cone.csv": "penetration [mm], time [s]\r\n17.20, 5\r\n<16.80, 5.0\r\n17.5, 5\r\n",
}


def made(**others):
    return read_files(Memory({name: text.encode() for name, text in (FILES | others).items()}))


def written(bench, place, change):
    """Return the files of a bench after one record was changed; they must read back as it, and nothing may be stated of the model."""
    tests = list(bench.tests)
    tests[place] = change(tests[place])
    changed = rk.Bench(bench.specimen, tests, bench.origin)
    files = bench_files(changed)
    for one, other in zip(read_files(Memory(files)).tests, changed.tests, strict=True):
        assert not one.origin.model_error_stated
        by_way = {name for name, way in one.origin.typed.ways.items() if way}
        assert set(differences(one, other)) <= by_way | {"model_error"}
        for name in by_way:
            np.testing.assert_allclose(getattr(one, name), getattr(other, name), rtol=1e-15)
    assert files.keys() == FILES.keys()
    return {name: raw.decode() for name, raw in files.items()}


def retyped(place, change, **others):
    """Return by file the lines that go and those that come when one record is changed."""
    before, found = FILES | others, {}
    for name, text in written(made(**others), place, change).items():
        old, new = before[name].splitlines(), text.splitlines()
        if text != before[name]:
            found[name] = [line for line in old if line not in new], [line for line in new if line not in old]
    return found


def rows(test, places, **changed):
    """Return a record of some of its rows, as `dataclasses.replace` makes it."""
    arrays = {name: getattr(test, name)[list(places)] for name in (*test.columns, "censored")}
    return replace(test, **(arrays | changed))


def times(factor, place, count):
    found = np.ones(count)
    found[place] = factor
    return found


SPEED_ROWS = ["31,90;0,0110;21,0", "40,7;0,043;21,5", " 52,30 ;1,7e-1;22", "71,8;0,66;22"]
HEAD = "Force [N] ; Plunger Speed [mm/s];temperature [°C]"
CHANGES = {
    "a force": (SPEED, lambda t: replace(t, force=t.force + np.array([0, 0.55, 0, 0])), {"speed.csv": ([SPEED_ROWS[1]], ["41,25;0,043;21,5"])}),
    "a flow by speed": (SPEED, lambda t: replace(t, flow_rate=t.flow_rate * times(1.02, 3, 4)), {"speed.csv": ([SPEED_ROWS[3]], ["71,8;0,6732;22"])}),
    "a force by load mass": (CAUGHT, lambda t: replace(t, force=t.force * times(1.01, 2, 3)), {"caught.csv": (["5, .5, 5.55"], ["5, .5, 5.6055"])}),
    "a flow by caught mass": (CAUGHT, lambda t: replace(t, flow_rate=t.flow_rate * times(1.5, 1, 3)), {"caught.csv": (["2.0, 0.50, 4.1"], ["3, 0.50, 4.1"])}),
    "a bound": (CONE, lambda t: replace(t, censored=[1, 0, 0]), {"cone.csv": (["17.20, 5", "<16.80, 5.0"], [">17.20, 5", "16.80, 5.0"])}),
    "a column more": (
        SPEED, lambda t: replace(t, stroke=[0.01, 0.02, 0.0305, 0.04]),
        {"speed.csv": ([HEAD, *SPEED_ROWS], [f"{HEAD};stroke [mm]", *map(";".join, zip(SPEED_ROWS, ["10", "20", "30,5", "40"], strict=True))])},
    ),
    "a column less": (SPEED, lambda t: replace(t, temperature=None), {"speed.csv": ([HEAD, *SPEED_ROWS], ["Force [N] ; Plunger Speed [mm/s]", *(row.rpartition(";")[0] for row in SPEED_ROWS)])}),
    "an uncertainty by row": (
        PLATE, lambda t: replace(t, uncertainty=[1e-4, 2e-4, 3e-4]),
        {"plate.csv": (["radius [cm]", "2.810", "2.89", "2.770"], ["radius [cm], uncertainty [cm]", "2.810, 0.01", "2.89, 0.02", "2.770, 0.03"])},
    ),
    "one of two uncertainties by row": (
        SPEED, lambda t: replace(t, uncertainty=np.full(4, 0.25)),
        {
            "speed.csv": ([HEAD, *SPEED_ROWS], [f"{HEAD};uncertainty [N]", *(f"{row};0,25" for row in SPEED_ROWS)]),
            "bench.toml": (['uncertainty = ["0.30 N", "3.0 %"]   # of the cell'], ['uncertainty = "3.0 %"   # of the cell']),
        },
    ),
    "a row more": (PLATE, lambda t: rows(t, [0, 1, 2, 2], radius=np.append(t.radius, 0.0279)), {"plate.csv": ([], ["2.79"])}),
    "a row between": (SPEED, lambda t: rows(t, [0, 1, 1, 2, 3], force=np.insert(t.force, 2, 45)), {"speed.csv": ([], ["45;0,043;21,5"])}),
    "the first row less": (SPEED, lambda t: rows(t, [1, 2, 3]), {"speed.csv": (SPEED_ROWS[:1], [])}),
    "a row less, another one changed": (SPEED, lambda t: rows(t, [0, 1, 3], force=[31.9, 41, 71.8]), {"speed.csv": (SPEED_ROWS[1:3], ["41;0,043;21,5"])}),
    "the first row out, one below in": (PLATE, lambda t: rows(t, [1, 2, 2], radius=[0.0289, 0.0277, 0.028]), {"plate.csv": (["2.810"], ["2.8"])}),
    "a wall friction": (PLATE, lambda t: replace(t, wall_friction=0.8), {"bench.toml": ([], ['wall_friction = "0.8 ± 0.1"'])}),
    "a force of the plate": (PLATE, lambda t: replace(t, force=6.5), {"bench.toml": ([], ['force = "6.5 N ± 2 %"'])}),
    "a volume": (PLATE, lambda t: replace(t, volume=2.5e-6), {"bench.toml": ([], ['volume = "2.5 mL"'])}),
    "an uncertainty": (SPEED, lambda t: replace(t, uncertainty=0.1), {"bench.toml": (['uncertainty = ["0.30 N", "3.0 %"]   # of the cell'], ['uncertainty = ["0.1 N", "3.0 %"]   # of the cell'])}),
    "a friction": (SPEED, lambda t: replace(t, extruder=replace(t.extruder, plunger_friction=6.0)), {"bench.toml": ([], ['plunger_friction = "6 N ± 0.080 kgf"'])}),
    "how sure a friction is": (SPEED, lambda t: replace(t, plunger_friction_uncertainty=0.5), {"bench.toml": ([], ['plunger_friction = "0.512 kgf ± 0.5 N"'])}),
    "a bore": (CAUGHT, lambda t: replace(t, extruder=replace(t.extruder, nozzle=rk.Nozzle(rk.Cylinder(diameter=2.1e-3, length=25.4e-3)))), {"bench.toml": (['bore = "2.050 mm"'], ['bore = "2.1 mm"'])}),
    "no apparatus": (
        PLATE, lambda t: replace(t, apparatus=""),
        {"bench.toml": (['apparatus = "plate"'], [])},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_what_need_not_change_stays_as_it_was_typed(name):
    place, change, expected = CHANGES[name]
    assert retyped(place, change) == expected


ORDERS = [(SPEED, [3, 2, 1, 0]), (SPEED, [1, 0, 2, 3]), (SPEED, [2, 0, 3]), (CAUGHT, [2, 1, 0]), (CAUGHT, [0, 2, 1])]


@pytest.mark.parametrize(("place", "order"), ORDERS)
def test_rows_in_another_order_keep_their_text(place, order):
    """Also where as many stand in their places as in their order: a mass would else be changed for another row's catch time."""
    name = {SPEED: "speed.csv", CAUGHT: "caught.csv"}[place]
    head, *typed = (line for line in FILES[name].splitlines() if line[0] != "#")
    text = written(made(), place, lambda t: rows(t, order))[name]
    assert [line for line in text.splitlines() if line[0] != "#"] == [head, *(typed[k] for k in order)]


def test_a_row_more_of_caught_masses_has_no_catch_time_so_the_flow_gets_a_column():
    """A catch time of its own would be invented; what was caught stays to be read."""

    def longer(test):
        return rows(test, [0, 1, 2, 2], flow_rate=np.append(test.flow_rate, 3e-7), force=np.append(test.force, 60.0))

    text = written(made(), CAUGHT, longer)["caught.csv"]
    lines, typed = text.splitlines(), FILES["caught.csv"].splitlines()
    assert lines[:4] == [f"# {line}" for line in typed]
    assert lines[4] == "load mass [kg], flow rate [mm3/s]"
    assert [line.partition(",")[0] for line in lines[5:8]] == ["3.200", "4.1", "5.55"]
    assert lines[8].endswith(", 300")


def test_another_barrel_changes_the_speeds_that_give_the_flow():
    files = written(made(), SPEED, lambda t: replace(t, extruder=replace(t.extruder, barrel_diameter=0.02)))
    cells = [line.split(";") for line in files["speed.csv"].splitlines() if line[:1] != "#"]
    assert [row[::2] for row in cells] == [
        [HEAD.split(";")[0], HEAD.split(";")[2]],
        *(r.split(";")[::2] for r in SPEED_ROWS),
    ]
    assert float(cells[1][1].replace(",", ".")) == pytest.approx(0.011 * (0.753 * 25.4 / 20) ** 2)


NOZZLE = """\
[[test]]
kind = "pressure run"
file = "r.csv"
read = "flow_rate"
nozzle = [ {inlet_diameter = "4.00 mm", outlet_diameter = "2.00 ± 0.02 mm", length = "10.0 mm"}, {diameter = "2.00 ± 0.02 mm", length = "1.50 cm"} ]   # drawn
"""


@pytest.mark.parametrize(
    ("change", "old", "new"),
    [
        (lambda n: replace(n.segments[1], length=0.016), '"1.50 cm"', '"16 mm"'),
        (lambda n: replace(n.segments[1], diameter=0.0019), '"2.00 ± 0.02 mm", length = "1.50 cm"', '"1.9 mm ± 1 %", length = "1.50 cm"'),
    ],
)  # fmt: skip
def test_one_number_of_a_nozzle_is_changed_in_its_line(change, old, new):
    bench = read_files(
        Memory({"bench.toml": NOZZLE.encode(), "r.csv": b"flow rate [mL/min], gauge pressure [kPa]\n1, 100\n2, 150\n"})
    )
    (run,) = bench.tests
    nozzle = rk.Nozzle(run.nozzle.segments[0], change(run.nozzle))
    files = bench_files(rk.Bench(bench.specimen, [replace(run, nozzle=nozzle)], bench.origin))
    assert files["bench.toml"].decode() == NOZZLE.replace(old, new)


def test_a_bore_that_was_not_said_to_be_sure_is_not_in_another_nozzle_either():
    """The usual 1 % is assumed again; what was stated is stated again."""
    files = {"r.csv": b"flow rate [mL/min], gauge pressure [kPa]\n1, 100\n2, 150\n"}
    for plain, expected in ((True, 'bore = "1.9 mm"'), (False, 'bore = "1.9 mm ± 1 %"')):
        toml = NOZZLE.replace(" ± 0.02 mm", " mm") if plain else NOZZLE
        bench = read_files(Memory(files | {"bench.toml": toml.encode()}))
        run = replace(bench.tests[0], nozzle=rk.Nozzle(rk.Cylinder(diameter=0.0019, length=0.02)))
        text = bench_files(rk.Bench(bench.specimen, [run], bench.origin))["bench.toml"].decode()
        assert f'{expected}\nlength = "20 mm"\n' in text and "nozzle" not in text


def test_signs_that_fewer_rows_leave_in_doubt_are_stated():
    others = {"plate.csv": "radius [cm]; time [s]\n2,810; 60,5\n2,890; 60\n"}
    toml = written(made(**others), PLATE, lambda t: t.where([False, True]))["bench.toml"]
    assert 'separator = "semicolon"\ndecimal = "comma"' in toml


def test_a_workbook_of_which_a_value_changed_becomes_csv_and_keeps_the_other_cells(tmp_path):
    import openpyxl

    book = openpyxl.Workbook()
    for row in (["pressure, gauge [kPa]", "flow rate [mL/min]"], [100.5, 0.25], [200, 1]):
        book.active.append(row)
    book.save(tmp_path / "run.xlsx")
    toml = '[[test]]\nkind = "pressure run"\nfile = "run.xlsx"\nbore = "2.0 mm"\nlength = "20 mm"\nread = "flow_rate"\n'
    (tmp_path / "bench.toml").write_text(toml)
    bench = rk.read_bench(tmp_path)
    (run,) = bench.tests
    flow = rk.units.mL / rk.units.minute
    files = bench_files(rk.Bench(bench.specimen, [replace(run, flow_rate=[0.25 * flow, 1.5 * flow])], bench.origin))
    assert files["pressure-run.csv"] == b'"pressure, gauge [kPa]", flow rate [mL/min]\n100.5, 0.25\n200, 1.5\n'


def test_a_density_of_the_specimen_alone_leaves_the_tests_what_they_were_computed_with():
    """Whoever sets it for the specimen has not set it for the flow of caught masses: that is kept, with its density as it was typed."""
    bench = made()
    specimen = replace(bench.specimen, density=1090.0)
    files = bench_files(rk.Bench(specimen, bench.tests, bench.origin))
    text = files["bench.toml"].decode()
    assert {n: raw.decode() for n, raw in files.items() if n != "bench.toml"} == {
        n: t for n, t in FILES.items() if n != "bench.toml"
    }
    old, new = TOML.splitlines(), text.splitlines()
    assert [line for line in new if line not in old] == ['density = "1090 kg/m3"']
    caught = text.index('file = "caught.csv"')
    assert text.count('density = "1.0850 g/cm3"') == 1 and text.index('density = "1.0850 g/cm3"') > caught
    np.testing.assert_array_equal(read_files(Memory(files)).tests[CAUGHT].flow_rate, bench.tests[CAUGHT].flow_rate)


@pytest.mark.parametrize(("value", "told"), [(3, "3"), (None, "None"), (b"x", "a bytes"), (["x"], "a list")])
def test_a_name_that_is_no_text_is_refused_by_its_record(value, told):
    more = "is no text; write it in quotes, such as"
    for name in ("paste", "batch", "date", "note"):
        with pytest.raises(rk.DataError) as caught:
            rk.Specimen(**{name: value})
        assert str(caught.value) == f"Specimen: {name} = {told} {more} {name}='A', or leave it out."
    for name in ("label", "apparatus", "batch"):
        with pytest.raises(rk.DataError) as caught:
            rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.01], **{name: value})
        assert str(caught.value).endswith(f": {name} = {told} {more} {name}='A', or leave it out.")
        assert str(caught.value).startswith("vane peak")
