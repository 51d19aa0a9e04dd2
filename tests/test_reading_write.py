"""Benches written and read again: byte for byte where nothing changed, as typed where a row is untouched, equal always.

Kind: exact.
"""

from dataclasses import replace

import numpy as np
import openpyxl
import pytest
from alike import same_benches
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

import rheokit as rk
from rheokit.bench import KINDS
from rheokit.bench.repeated import repeated
from rheokit.reading.compare import differences
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files
from rheokit.reading.writer import bench_files

pytestmark = pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")  # benches of any numbers

TOML = """\
# my bench; do not lose this
[specimen]
paste = "clay"   # from the bag
batch = "A"
density = "1.76 g/cm3"
water_content = "28.6 %"
water_basis = "wet"

[apparatus.syringe]   # the steel one
barrel_diameter = "26.70 ± 0.05 mm"
fill_length = "60 mm"
plunger_friction = "8 ± 1 N"
length = "20 mm"

[[test]]
kind = "syringe force"
file = "force.csv"
apparatus = "syringe"
bore = "2.00 mm ± 1 %"   # by microscope
read = "force"
uncertainty = "0.5 N"

# the second day
[[test]]
kind = "cylinder slump"
file = "raw/slump.csv"
height = "100 mm"
diameter = "100.0 ± 0.5 mm"

[[test]]
kind = "flow curve"
file = "curve.xlsx"
"""
FORCE = b"\xef\xbb\xbf# steady only\r\nplunger speed [mm/s];force [N]\r\n0,010;46,50\r\n\r\n0,020;48,90\r\n# a pause\r\n0,050;54,6\r\n"
SLUMP = b"slump [mm]\n35.0\n<5\n38.0"


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "bench"
    (path / "raw").mkdir(parents=True)
    (path / "bench.toml").write_text(TOML, encoding="utf-8")
    (path / "force.csv").write_bytes(FORCE)
    (path / "raw" / "slump.csv").write_bytes(SLUMP)
    (path / "photo.jpg").write_bytes(b"\xff\xd8")
    book = openpyxl.Workbook()
    for row in (["shear rate [1/s]", "shear stress [Pa]"], [0.5, 250.5], [10, 1000], [20, 1300]):
        book.active.append(row)
    book.save(path / "curve.xlsx")
    return path


def contents(path):
    return {str(p.relative_to(path)): p.read_bytes() for p in path.rglob("*") if p.is_file()}


# --- unchanged ------------------------------------------------------------------------------------------------------


def test_an_unchanged_bench_is_written_byte_for_byte(folder, tmp_path):
    before = contents(folder)
    bench = rk.read_bench(folder)
    back = rk.write_bench(bench, tmp_path / "copy")
    before.pop("photo.jpg")
    assert contents(tmp_path / "copy") == before
    assert same_benches(back, bench)


def test_a_bench_toml_of_another_editor_is_written_byte_for_byte(folder, tmp_path):
    raw = b"\xef\xbb\xbf" + TOML.replace("\n", "\r\n").encode()
    (folder / "bench.toml").write_bytes(raw)
    bench = rk.read_bench(folder)
    rk.write_bench(bench, tmp_path / "copy")
    assert (tmp_path / "copy" / "bench.toml").read_bytes() == raw
    changed = rk.Bench(bench.specimen, bench.tests[1:], bench.origin)
    assert same_benches(rk.write_bench(changed, tmp_path / "less"), changed)
    assert "# do not lose this" in (tmp_path / "less" / "bench.toml").read_text(encoding="utf-8").replace("; ", "\n# ")


def test_two_sheets_of_one_workbook(folder, tmp_path):
    book = openpyxl.load_workbook(folder / "curve.xlsx")
    up = book.copy_worksheet(book.active)
    up.title = "up"
    for row in range(2, up.max_row + 1):  # other readings than those of the way down
        up.cell(row, 2).value *= 1.02
    book.active.title = "down"
    book.save(folder / "curve.xlsx")
    sheets = TOML.replace('"curve.xlsx"', '"curve.xlsx"\nsheet = "down"') + 'sheet = "up"\n'
    sheets = (
        sheets.removesuffix('sheet = "up"\n') + '\n[[test]]\nkind = "flow curve"\nfile = "curve.xlsx"\nsheet = "up"\n'
    )
    (folder / "bench.toml").write_text(sheets, encoding="utf-8")
    bench = rk.read_bench(folder)
    force, slump, down, up = bench.tests
    changed = rk.Bench(
        bench.specimen, [force.where(force.force > 47), slump, down, up.where(up.shear_rate > 1)], bench.origin
    )
    assert same_benches(rk.write_bench(changed, tmp_path / "less"), changed)
    assert (tmp_path / "less" / "curve.xlsx").read_bytes() == (folder / "curve.xlsx").read_bytes()


def test_an_unchanged_bench_over_itself_touches_nothing(folder):
    times = {p: p.stat().st_mtime_ns for p in folder.rglob("*")}
    rk.write_bench(rk.read_bench(folder), folder)
    assert {p: p.stat().st_mtime_ns for p in folder.rglob("*")} == times


def test_a_record_replaced_by_its_equal_is_unchanged(folder, tmp_path):
    bench = rk.read_bench(folder)
    same = rk.Bench(bench.specimen, [replace(t, label=t.label) for t in bench.tests], bench.origin)
    rk.write_bench(same, tmp_path / "copy")
    assert (tmp_path / "copy" / "bench.toml").read_bytes() == TOML.encode()


# --- changed --------------------------------------------------------------------------------------------------------


def test_rows_taken_out_leave_the_others_as_typed(folder):
    bench = rk.read_bench(folder)
    force, slump, curve = bench.tests
    changed = rk.Bench(bench.specimen, [force.where(force.force != 48.9), slump, curve], bench.origin)
    back = rk.write_bench(changed, folder)
    assert same_benches(back, changed)
    assert (folder / "force.csv").read_bytes() == FORCE.replace(b"0,020;48,90\r\n", b"")
    assert (folder / "raw" / "slump.csv").read_bytes() == SLUMP
    assert (folder / "bench.toml").read_text(encoding="utf-8") == TOML
    assert (folder / "photo.jpg").read_bytes() == b"\xff\xd8"


def test_a_changed_value_is_typed_in_its_own_unit(folder):
    bench = rk.read_bench(folder)
    force, slump, curve = bench.tests
    readings = np.array(force.force)
    readings[1] = 49.25
    rk.write_bench(rk.Bench(bench.specimen, [replace(force, force=readings), slump, curve], bench.origin), folder)
    assert (folder / "force.csv").read_bytes() == FORCE.replace(b"0,020;48,90", b"0,020;49,25")


def test_a_changed_bound_is_typed_as_a_bound(folder):
    bench = rk.read_bench(folder)
    force, slump, curve = bench.tests
    rk.write_bench(rk.Bench(bench.specimen, [force, replace(slump, censored=[-1, -1, 1]), curve], bench.origin), folder)
    assert (folder / "raw" / "slump.csv").read_bytes() == b"slump [mm]\n<35.0\n<5\n>38.0"


def test_a_changed_workbook_becomes_csv(folder):
    bench = rk.read_bench(folder)
    force, slump, curve = bench.tests
    book = (folder / "curve.xlsx").read_bytes()
    back = rk.write_bench(
        rk.Bench(bench.specimen, [force, slump, curve.where(curve.shear_rate < 15)], bench.origin), folder
    )
    assert (folder / "curve.xlsx").read_bytes() == book
    assert (folder / "flow-curve.csv").read_text() == "shear rate [1/s], shear stress [Pa]\n0.5, 250.5\n10, 1000\n"
    assert back.origin.files.keys() == {"bench.toml", "force.csv", "raw/slump.csv", "flow-curve.csv"}


def test_a_test_added_and_one_taken_out_keep_the_comments(folder):
    bench = rk.read_bench(folder)
    vane = rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.0125], label="Day 3", apparatus="vane")
    changed = rk.Bench(bench.specimen, [bench.tests[0], bench.tests[2], vane], bench.origin)
    back = rk.write_bench(changed, folder)
    assert same_benches(back, changed)
    toml = (folder / "bench.toml").read_text(encoding="utf-8")
    for comment in ("# my bench; do not lose this", "# from the bag", "# the steel one", "# by microscope"):
        assert comment in toml
    assert 'file = "raw/slump.csv"' not in toml
    assert (folder / "day-3.csv").read_text() == "torque [mN m]\n12.5\n"
    assert (folder / "raw" / "slump.csv").exists()  # data is never deleted


@pytest.mark.slow
@pytest.mark.parametrize(
    "change",
    [
        dict(extruder=dict(fill_length=0.055)),
        dict(extruder=dict(barrel_diameter=0.02, plunger_friction=7.5)),
        dict(extruder=dict(nozzle=rk.Nozzle(rk.Cone(inlet_diameter=0.004, outlet_diameter=0.001, length=0.01)))),
        dict(bore_uncertainty=0.02),
        dict(bore_uncertainty=0.0, plunger_friction_uncertainty=0.0),
        dict(barrel_drag_uncertainty=0.2),
        dict(uncertainty=None, relative_uncertainty=0.03),
        dict(uncertainty=[0.5, 0.6, 0.7]),
        dict(model_error=0.0),
        dict(label="a new name", batch="B", apparatus="another"),
        dict(apparatus=""),
        dict(slip="fitted", error="absolute"),
        dict(temperature=[290.0, 291.0, 292.0], stroke=[0.001, 0.002, 0.003]),
        dict(flow_rate=[1e-9, 2e-9, 3e-9]),
    ],
    ids=str,
)
def test_any_field_may_be_changed(folder, change):
    bench = rk.read_bench(folder)
    force, *others = bench.tests
    if "extruder" in change:
        change = {"extruder": replace(force.extruder, **change["extruder"])}
    changed = rk.Bench(bench.specimen, [replace(force, **change), *others], bench.origin)
    back = rk.write_bench(changed, folder)
    for one, other in zip(back.tests, changed.tests, strict=True):
        by_way = {name for name, way in one.origin.typed.ways.items() if way}
        assumed = set() if one.origin.model_error_stated else {"model_error"}
        assert set(differences(one, other)) <= by_way | assumed
        for name in by_way:  # a flow by the plunger's speed, to its rounding
            np.testing.assert_allclose(getattr(one, name), getattr(other, name), rtol=1e-15)
    assert "model_error" in change or b"model_error" not in (folder / "bench.toml").read_bytes()
    assert (
        (folder / "force.csv").read_bytes().startswith(b"\xef\xbb\xbf# steady only\r\nplunger speed [mm/s];force [N]")
    )
    assert not same_benches(back, bench)
    assert "# do not lose" in (folder / "bench.toml").read_text(encoding="utf-8").replace("; do", "\n# do")
    assert (folder / "raw" / "slump.csv").read_bytes() == SLUMP


def test_the_order_of_tests_is_kept(folder):
    bench = rk.read_bench(folder)
    changed = rk.Bench(bench.specimen, bench.tests[::-1], bench.origin)
    assert same_benches(rk.write_bench(changed, folder), changed)


def test_a_changed_specimen(folder):
    bench = rk.read_bench(folder)
    specimen = replace(
        bench.specimen, water_content=0.41, density=None, temperature=294.15, note="x\ny", invented=True, batch="B"
    )
    changed = rk.Bench(specimen, bench.tests, bench.origin)
    back = rk.write_bench(changed, folder)
    assert not differences(back.specimen, specimen)
    assert [t.density for t in back.tests if hasattr(t, "density")] == [1760.0]
    toml = (folder / "bench.toml").read_text(encoding="utf-8")
    assert 'water_content = 0.41\nwater_basis = "dry"' in toml
    assert 'paste = "clay"   # from the bag' in toml


def test_a_bench_goes_on_from_what_write_bench_returns(folder):
    bench = rk.read_bench(folder)
    for _ in range(2):
        force, *others = bench.tests
        bench = rk.write_bench(
            rk.Bench(bench.specimen, [force.where(np.arange(len(force.force)) > 0), *others], bench.origin), folder
        )
    assert [len(t.readings) for t in bench.tests] == [1, 3, 3]


def test_tests_of_two_folders_in_one_bench(folder, tmp_path):
    one = rk.read_bench(folder)
    (folder / "force.csv").write_bytes(FORCE.replace(b"46,50", b"46,70"))  # what was read on another day
    (folder / "raw" / "slump.csv").write_bytes(SLUMP.replace(b"35.0", b"36.0"))
    two = rk.read_bench(folder)
    mixed = rk.Bench(
        one.specimen,
        [*one.tests, *(replace(t, label="again") for t in two.where(lambda t: t.kind != "flow curve").tests)],
    )
    back = rk.write_bench(mixed, tmp_path / "new")
    assert same_benches(back, mixed)


# --- refusals -------------------------------------------------------------------------------------------------------


def refused(bench, path, words):
    before = contents(path) if path.is_dir() else None
    with pytest.raises(rk.DataError, match=words):
        rk.write_bench(bench, path)
    if before is not None:
        assert contents(path) == before


def test_a_folder_that_holds_something_else_is_refused(folder, tmp_path):
    bench = rk.read_bench(folder)
    (tmp_path / "thesis").mkdir()
    (tmp_path / "thesis" / "chapter.tex").write_text("x")
    refused(bench, tmp_path / "thesis", "not empty and holds no bench")
    other = tmp_path / "other"
    rk.new_bench(other, "spread")
    refused(bench, other, "holds another bench")
    refused(bench, folder / "force.csv", "is a file; name a folder")
    refused(bench, tmp_path / "a" / "b", "is no folder; make it first")


@pytest.mark.parametrize("name", ["bench.toml", "force.csv"])
def test_what_somebody_changed_meanwhile_is_not_overwritten(folder, name):
    bench = rk.read_bench(folder)
    with (folder / name).open("ab") as opened:
        opened.write(b"# a note by hand\n")
    force, *others = bench.tests
    refused(
        rk.Bench(bench.specimen, [force.where(force.force > 47), *others], bench.origin),
        folder,
        "changed since this bench was read",
    )


def test_a_link_in_the_folder_is_not_followed(folder, tmp_path):
    bench = rk.read_bench(folder)
    outside = tmp_path / "outside.csv"
    outside.write_bytes(FORCE)
    (folder / "force.csv").unlink()
    (folder / "force.csv").symlink_to(outside)
    force, *others = bench.tests
    refused(
        rk.Bench(bench.specimen, [force.where(force.force > 47), *others], bench.origin),
        folder,
        "leads out of the folder",
    )
    assert outside.read_bytes() == FORCE


def test_a_linked_folder_inside_is_not_followed(folder, tmp_path):
    bench = rk.read_bench(folder)
    target, outside = tmp_path / "target", tmp_path / "outside"
    target.mkdir()
    outside.mkdir()
    (target / "bench.toml").write_bytes(TOML.encode())
    (target / "raw").symlink_to(outside)
    with pytest.raises(rk.DataError, match="would leave the folder"):
        rk.write_bench(bench, target)
    assert contents(outside) == {}


@pytest.mark.parametrize("name", ["turned \u202eround", "two\nlines", "esc\x1b[2J"])
def test_a_name_that_would_not_be_read_is_not_written(tmp_path, name):
    bench = rk.Bench(rk.Specimen(paste=name), [rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.01])])
    refused(bench, tmp_path / "new", "cannot be written")
    assert not (tmp_path / "new").exists()


def test_a_label_cannot_lead_a_file_elsewhere(tmp_path):
    vane = rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.01], label="../../etc/passwd")
    second = replace(vane, torque=[0.011])
    rk.write_bench(rk.Bench(rk.Specimen(), [vane, second]), tmp_path / "new")
    assert set(contents(tmp_path / "new")) == {"bench.toml", "etc-passwd.csv", "etc-passwd-2.csv"}


# --- any bench ------------------------------------------------------------------------------------------------------

NAMES = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"], exclude_characters="<>"), max_size=12).filter(
    str.isprintable
)
NUMBERS = st.floats(1e-6, 1e4)
COLUMNS = st.integers(1, 4)


def arrays(draw, count, numbers=NUMBERS):
    return np.array(draw(st.lists(numbers, min_size=count, max_size=count)))


def properties_record(draw, kind, count, common):
    """Return any record of a test of properties: its columns rise in the order in which they must."""
    low, step = arrays(draw, count, st.floats(0.01, 1)), arrays(draw, count, st.floats(1.01, 1.5))
    if kind == "cup density":
        true = draw(
            st.sampled_from([{}, {"true_density": 2000.0}, {"true_density": 1950.0, "true_density_uncertainty": 12.3}])
        )
        return rk.CupDensity(cup_volume=0.1 / 90, mass=step, **true, **common)
    if kind == "lean height":
        return rk.LeanHeight(
            wall_width=0.01 / 3,
            density=draw(NUMBERS),
            height=low,
            wall=draw(st.sampled_from(["straight wall", "long wall"])),
            **common,
        )
    if kind == "drying shrinkage":
        return rk.DryingShrinkage(
            axis=draw(st.sampled_from(["xy", "z"])), dry_length=low, wet_length=low * step, **common
        )
    if kind == "oven moisture":
        return rk.OvenMoisture(tare_mass=low, dry_mass=low * step, wet_mass=low * step * step, **common)
    if kind == "empty barrel":
        return rk.EmptyBarrel(force=low * step, plunger_speed=draw(st.sampled_from([None, low])), **common)
    if kind == "drop mass":  # a drop about as wide as its tip
        return rk.DropMass(
            outer_diameter=0.003,
            density=draw(st.floats(900, 1200)),
            mass=arrays(draw, count, st.floats(2.5e-5, 4e-5)),
            **common,
        )
    if kind == "wound thread":
        return rk.WoundThread(
            turns=draw(st.integers(1, 500)), drum_diameter=draw(NUMBERS), density=draw(st.floats(900, 1200)),
            dry_density=draw(st.floats(1200, 1500)), dry_mass=low, wet_mass=low * 1.01 * step, **common,
        )  # fmt: skip
    if kind == "inverted tube":
        reading = arrays(draw, count, st.floats(280, 360))
        return rk.InvertedTube(
            direction=draw(st.sampled_from(["cooling", "warming"])), transition_temperature=reading, **common
        )
    if kind == "setting time":
        times = arrays(draw, count, st.floats(1, 1e3))
        return rk.SettingTime(
            gel_temperature=330.0,
            setting_time=times,
            **(common | {"temperature": np.full(count, draw(st.floats(280, 325)))}),
        )
    assert kind == "sieve"
    for name in ("uncertainty", "relative_uncertainty", "temperature", "time"):
        common[name] = None if np.ndim(common[name]) else common[name]
    return rk.Sieve(
        aperture=[0, 1e-4, 2e-4 / 3 + 1e-4, 3e-4],
        retained_mass=[*(low[0] * np.array([8, 4])), low[0] / 3, 0.0],
        **common,
    )


@st.composite
def records_of(draw, kind):
    """Return any record of a kind: any values that the record itself takes, however unlikely."""
    count = draw(COLUMNS)
    common = dict(
        model_error=draw(st.sampled_from([0.0, 0.1, 0.123456789])),
        apparatus=draw(NAMES),
        label=draw(NAMES),
        batch=draw(NAMES),
        error=draw(st.sampled_from(["relative", "absolute"])),
        uncertainty=draw(st.one_of(st.none(), NUMBERS, st.just(count).map(lambda n: np.linspace(0.1, 0.2, n)))),
        relative_uncertainty=draw(
            st.one_of(st.none(), st.floats(1e-4, 0.5), st.just(count).map(lambda n: np.linspace(0.01, 0.03, n)))
        ),
        censored=draw(st.lists(st.sampled_from([-1, 0, 1]), min_size=count, max_size=count)),
        temperature=draw(st.one_of(st.none(), st.just(arrays(draw, count, st.floats(250, 400))))),
        time=draw(st.one_of(st.none(), st.just(arrays(draw, count)))),
    )
    small = st.floats(1e-4, 0.1)
    if kind in ("pressure run", "syringe force", "timed drain"):
        bore, barrel = draw(st.floats(1e-4, 0.01)), draw(st.floats(0.02, 0.15))
        land = rk.Cylinder(diameter=bore, length=draw(small))
        cone = rk.Cone(inlet_diameter=bore * draw(st.floats(1, 1.9)), outlet_diameter=bore, length=draw(small))
        nozzle = rk.Nozzle(*draw(st.sampled_from([(land,), (cone,), (cone, land)])))
        common |= dict(
            bore_uncertainty=draw(st.sampled_from([0.0, 0.01, 0.123])),
            flow_rate=arrays(draw, count, st.floats(1e-12, 1e-5)),
        )
        common["read"] = draw(st.sampled_from(["flow_rate", "pressure" if kind == "pressure run" else "force"]))
        if kind == "pressure run":
            return rk.PressureRun(
                nozzle=nozzle,
                inlet_diameter=draw(st.sampled_from([None, barrel])),
                pressure=arrays(draw, count, st.floats(1, 1e7)),
                **common,
            )
        extruder = rk.Extruder(
            barrel_diameter=barrel,
            fill_length=draw(small),
            nozzle=nozzle,
            plunger_friction=draw(st.sampled_from([0.0, 7.3])),
            barrel_drag=draw(st.one_of(st.just(0.0), st.floats(1e-6, 1.2))),
        )
        if kind == "timed drain":
            level = 2 * sum(float(one.length) for one in nozzle.segments) + draw(small)
            del common["read"], common["flow_rate"]
            return rk.TimedDrain(
                extruder=extruder, density=draw(st.floats(900, 1200)), start_level=level, end_level=level * draw(st.floats(0.6, 0.9)),
                drain_time=arrays(draw, count, st.floats(1, 1e4)), **common,
            )  # fmt: skip
        return rk.ForceRun(
            extruder=extruder,
            force=arrays(draw, count, st.floats(8, 1e4)),
            plunger_friction_uncertainty=draw(st.sampled_from([0.0, 1.0, 0.77])),
            barrel_drag_uncertainty=draw(st.sampled_from([0.0, 0.3])),
            **common,
        )
    if kind == "falling ball":
        tube = draw(st.floats(0.01, 0.1))
        return rk.FallingBall(
            ball_diameter=tube * draw(st.floats(0.01, 0.25)), tube_diameter=tube, density=draw(st.floats(900, 1200)),
            ball_density=draw(st.floats(1300, 9000)), speed=arrays(draw, count), **common,
        )  # fmt: skip
    if KINDS[kind].gives:
        return properties_record(draw, kind, count, common | {"censored": None})
    record = KINDS[kind]
    for name, f in record.__dataclass_fields__.items():
        if f.metadata.get("dimension"):
            common[name] = np.pi / 3 if name == "apex_angle" else draw(NUMBERS)
        elif f.metadata.get("column") and name not in ("time", "stroke", "temperature", "run_order", "run"):
            common[name] = arrays(draw, count)
    if "slump" in common:  # none falls deeper than its mould is high, nor stands on its narrow end
        common["slump"] = np.minimum(common["slump"], common["height"])
    if "top_diameter" in common:
        common["top_diameter"] = min(common["top_diameter"], common["bottom_diameter"])
    return record(**common)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_any_bench_is_read_as_it_was_written(kind, data):
    specimen = rk.Specimen(
        paste=data.draw(NAMES),
        batch=data.draw(NAMES),
        density=data.draw(st.one_of(st.none(), NUMBERS)),
        water_content=data.draw(st.one_of(st.none(), st.just(0.0), st.floats(1e-6, 500))),
        temperature=data.draw(st.one_of(st.none(), st.floats(200, 500))),
        invented=data.draw(st.booleans()),
        note=data.draw(st.text(st.characters(categories=["L", "N", "P", "Zs"]), max_size=20)),
    )
    tests = data.draw(st.lists(records_of(kind), min_size=1, max_size=2))
    assume(not repeated(tests))  # a bench refuses readings given twice
    bench = rk.Bench(specimen, tests)
    files = bench_files(bench)
    back = read_files(Memory(files))
    assert same_benches(back, bench)
    assert bench_files(back) == files
    drop = -1 if kind == "sieve" else 0  # a stack without its pan is no sieving
    kept = [
        test.where(np.arange(len(test.readings)) != drop % len(test.readings)) if len(test.readings) > 1 else test
        for test in back.tests
    ]
    fewer = rk.Bench(back.specimen, kept, back.origin)
    assert same_benches(read_files(Memory(bench_files(fewer))), fewer)


ODD_SPREADS = {
    "wall friction too sure": lambda: rk.Bench(
        rk.Specimen(), [rk.LoadedPlate(volume=6e-6, force=9.0, radius=[0.02], wall_friction=0.9, wall_friction_uncertainty=1e-12)]
    ),
    "reading far too sure": lambda: rk.Bench(
        rk.Specimen(), [rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.03, 0.04], uncertainty=1e-14)]
    ),
    "reading far too unsure": lambda: rk.Bench(
        rk.Specimen(), [rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.03, 0.04], uncertainty=1e9)]
    ),
    "share far too sure": lambda: rk.Bench(
        rk.Specimen(), [rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.03, 0.04], relative_uncertainty=1e-10)]
    ),
    "density less sure than half": lambda: rk.Bench(
        rk.Specimen(density=1100.0, spreads={"density": 0.5}),
        [rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[0.03, 0.04])],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD_SPREADS)
def test_what_the_reader_doubts_of_an_uncertainty_is_written_as_meant(name):
    """Whoever sets it in Python means it; a folder that is typed is asked."""
    bench = ODD_SPREADS[name]()
    files = bench_files(bench)
    assert b"unusual" in files["bench.toml"]
    assert same_benches(read_files(Memory(files)), bench)
    plain = {
        **files,
        "bench.toml": b"\n".join(line for line in files["bench.toml"].split(b"\n") if b"unusual" not in line),
    }
    with pytest.raises(rk.ReadingError, match="uncertainty"):
        read_files(Memory(plain))
