"""What is easily left out or typed otherwise in a bench folder: the whole message, and what is accepted can be fitted.

Kind of every check here: exact (what the format says, by its own definition), but where it says otherwise.
"""

import os

import numpy as np
import pytest

import rheokit as rk
from rheokit.reading.columns import words_of
from rheokit.reading.faults import listed
from rheokit.reading.forms import form_of
from rheokit.reading.toml import toml_document
from rheokit.units import unit_scale

RUN = '[[test]]\nkind = "pressure run"\nfile = "t.csv"\nbore = "2 mm"\nlength = "20 mm"\n'
CAUGHT = "caught mass [g], catch time [s], gauge pressure [kPa]\n3, 30, 200\n6, 30, 250\n9, 30, 300\n12, 30, 340\n"
DRIVEN = "plunger speed [mm/s], gauge pressure [kPa]\n0.01, 40\n0.02, 45\n0.03, 50\n"
FORCE = """[[test]]
kind = "syringe force"
file = "t.csv"
read = "force"
barrel_diameter = "26.70 ± 0.05 mm"
fill_length = "60 mm"
plunger_friction = "8 ± 1 N"
bore = "2.00 mm"
length = "20 mm"
"""
ROWS = "plunger speed [mm/s], force [N]\n0.01, 46.5\n0.02, 48.9\n0.05, 54.6\n0.1, 60\n"
ONE = "bench.toml, [[test]] 1: "
IN_CUP = ", or add a test of kind 'cup density'"


def folder(path, toml, rows=ROWS, **others):
    """Write a folder with one table t.csv and others by stem."""
    path.mkdir(exist_ok=True)
    (path / "bench.toml").write_bytes(toml if isinstance(toml, bytes) else toml.encode())
    for stem, text in {"t": rows, **others}.items():
        (path / f"{stem}.csv").write_text(text, encoding="utf-8")
    return path


def column(header, cell):
    """Return the rows of the force run with one column more."""
    first, *rest = ROWS.strip().split("\n")
    return "\n".join([f"{first}, {header}", *(f"{row}, {cell}" for row in rest)]) + "\n"


def headed(header):
    return ROWS.replace("force [N]", header)


OTHERWISE = {
    "caught mass without density": (RUN + 'read = "flow_rate"\n', CAUGHT, ONE + (
        'flow rate from caught mass and catch time needs density: density of the paste with its air; write density = "1110 '
        f'kg/m3" in [specimen]{IN_CUP}')),
    "density without unit": ('[specimen]\ndensity = "1100"\n' + RUN + 'read = "flow_rate"\n', CAUGHT,
        "bench.toml, [specimen]: density = '1100' has no unit; write e.g. \"1110 kg/m3\""),
    "plunger speed without a barrel": (RUN + 'read = "pressure"\n', DRIVEN, ONE + (
        'flow rate from plunger speed needs barrel_diameter: bore of the barrel; write barrel_diameter = "26.70 ± 0.05 mm" in '
        'its apparatus')),
    "barrel taken away": (RUN + 'read = "pressure"\nbarrel_diameter = "none"\n', DRIVEN, ONE + (
        'flow rate from plunger speed needs barrel_diameter: bore of the barrel; write barrel_diameter = "26.70 ± 0.05 mm" in '
        'its apparatus')),
    "bore less sure than half of itself": (FORCE.replace('"2.00 mm"', '"2.00 ± 5 mm"'), ROWS, ONE + (
        "bore = '2.00 ± 5 mm' has an uncertainty of 250 % of itself; less than 50% can be: is its unit right?")),
    "barrel less sure than half of itself": (FORCE.replace("± 0.05 mm", "± 50 mm"), ROWS, ONE + (
        "barrel_diameter = '26.70 ± 50 mm' has an uncertainty of 187 % of itself; less than 50% can be: is its unit right?")),
    "density less sure than half of itself": ('[specimen]\ndensity = "1100 ± 900 kg/m3"\n' + FORCE, ROWS, (
        "bench.toml, [specimen]: density = '1100 ± 900 kg/m3' has an uncertainty of 81.8 % of itself; less than 50% can be: is "
        "its unit right?")),
    "bore too sure": (FORCE.replace('"2.00 mm"', '"2.00 ± 1e-12 mm"'), ROWS, ONE + (
        "bore = '2.00 ± 1e-12 mm' has an uncertainty of less than a billionth; correct it, or leave ± out if it is not known")),
    "uncertainty too small": (FORCE + 'uncertainty = "1e-300 N"\n', ROWS, ONE + (
        "uncertainty = '1e-300 N' is too small for a number of a bench; correct it; a share of the reading is written \"3 %\"")),
    "uncertainty below a billionth": (FORCE + 'uncertainty = "1e-9 N"\n', ROWS, ONE + (
        "uncertainty = '1e-9 N' is less than a billionth of the largest reading; correct it, or leave it out if it is not known")),
    "uncertainty of thrice itself": (FORCE + 'uncertainty = "300 %"\n', ROWS, ONE + (
        'uncertainty = \'300 %\' is outside 0 to 0.5, where relative uncertainty usually lies; is that the unit? correct it, or write '
        'unusual = ["relative_uncertainty"] beside it if it is really so')),
    "unusual of nothing": (FORCE + 'unusual = ["bores"]\n', ROWS, ONE + (
        "unusual names 'bores', which is no number of a syringe force; did you mean 'bore'?")),
    "Kind": (FORCE.replace("kind =", "Kind ="), ROWS, ONE + "kind is missing; is 'Kind' meant to be it?; the kinds are " + listed(map(repr, rk.KINDS))),
    "a column of remarks": (FORCE, column("remark", "slow"), "t.csv, row 1, column 3: 'remark' has no unit in square brackets, such as "
        "'force [N]', and is no column; it reads " + listed(map(words_of, form_of(rk.KINDS["syringe force"]).header_names()))
        + "; take the column out, or name it in ignore, if it is none of these"),
    "a column without header": (FORCE, "plunger speed [mm/s], , force [N]\n0.01, slow, 46.5\n0.02, slow, 48.9\n", "t.csv, row 1, column 2: there is no header above this column; it reads "
        + listed(map(words_of, form_of(rk.KINDS["syringe force"]).header_names())) + "; take the column out, or name it in ignore, if it is none of these"),
    "uncertainty of an uncertainty": (FORCE + 'uncertainty = "0.5 ± 0.1 N"\n', ROWS, ONE + (
        "uncertainty = '0.5 ± 0.1 N' is an uncertainty itself; take ± and what follows away")),
    "model error with its own": (FORCE + 'model_error = "0.1 ± 0.05"\nmodel_error_reason = "held to a vane"\n', ROWS, ONE + (
        "model_error = '0.1 ± 0.05' is taken without an uncertainty of its own; take ± away")),
    "decibels": (FORCE, column("relative uncertainty [dB]", "3"), (
        "t.csv, row 1, column 3: 'relative uncertainty [dB]': the unit [dB] is not that of a pure number: write [-] or [%]")),
    "endless": (FORCE + "barrel_drag = inf\n", ROWS, ONE + "barrel_drag = 'Infinity' is not a finite number"),
    "400 digits": (FORCE + f"barrel_drag = {'1' * 400}\n", ROWS, (
        "bench.toml: the number '11111111111111111111…' is too long, too large or too small; round or correct it (line 10)")),
    "ten digits of exponent": (FORCE + "barrel_drag = 1e9999999999\n", ROWS, (
        "bench.toml: the number '1e9999999999' is too long, too large or too small; round or correct it (line 10)")),
    "length beyond any": (FORCE.replace('"20 mm"', '"1e400 mm"'), ROWS, ONE + (
        "length = '1e400 mm' is too large for a number of a bench; correct it")),
    "force below any": (FORCE, ROWS.replace("46.5", "1e-400"), (
        "t.csv, row 2, column 2 (force [N]): '1e-400' is too small for a number of a bench; correct it")),
    "digits of a cell": (FORCE, ROWS.replace("46.5", "4" * 61), (
        f"t.csv, row 2, column 2 (force [N]): '{'4' * 60}…' is a number of 61 characters; 60 at most: round it")),
    "thousands by a narrow space": (FORCE, ROWS.replace("46.5", "1\u202f046.5"), (
        "t.csv, row 2, column 2 (force [N]): '1\\u202f046.5' has spaces inside; write 1046.5")),
    "thousands by a fixed space": (FORCE, ROWS.replace("46.5", "1\u00a0046.5"), (
        "t.csv, row 2, column 2 (force [N]): '1\\xa0046.5' has spaces inside; write 1046.5")),
    "round brackets": (FORCE, headed("force (N)"), "t.csv, row 1, column 2: 'force (N)' has no unit in square brackets; write 'force [N]'"),
    "a stroke": (FORCE, headed("force / N"), "t.csv, row 1, column 2: 'force / N' has no unit in square brackets; write 'force [N]'"),
    "a comma": (FORCE, headed("force, N"), "t.csv, row 1, column 2: 'force, N' has no unit in square brackets; write 'force [N]'"),
    "in": (FORCE, headed("Force in N"), "t.csv, row 1, column 2: 'Force in N' has no unit in square brackets; write 'force [N]'"),
    "an underscore": (FORCE, headed("force_N"), "t.csv, row 1, column 2: 'force_N' has no unit in square brackets; write 'force [N]'"),
    "gauge pressure in round brackets": (RUN + 'read = "pressure"\n', "flow rate [mm3/s], absolute pressure (kPa)\n1, 200\n", (
        "t.csv, row 1, column 2: 'absolute pressure (kPa)' has no unit in square brackets; write 'absolute pressure [kPa]'")),
    "no unit": (RUN + 'read = "pressure"\n', "flow rate [mm3/s], pressure\n1, 200\n", (
        "t.csv, row 1, column 2: 'pressure' has no unit in square brackets; write words and unit, a pressure or stress: write "
        "Pa, kPa or bar, such as 'gauge pressure [kPa]'")),
    "the unit of something else": (FORCE, headed("force (mm)"), (
        "t.csv, row 1, column 2: 'force (mm)' has no unit in square brackets; write words and unit, a force: write N, kN or kgf, such "
        "as 'force [N]'")),
    "Latin-1": ('[specimen]\nnote = "5 µm"\n'.encode("latin-1") + FORCE.encode(), ROWS, (
        "bench.toml: is not UTF-8 text (row 2, byte 0xb5); open it in a text editor and save it with the encoding UTF-8")),
}  # fmt: skip


@pytest.mark.parametrize("name", OTHERWISE)
def test_one_line_says_what_to_write(tmp_path, name):
    toml, rows, line = OTHERWISE[name]
    with pytest.raises(rk.ReadingError) as caught:
        rk.read_bench(folder(tmp_path / "bench", toml, rows))
    told = caught.value.faults
    if name == "a comma":  # the rows have fewer cells than the header, which is told too
        told = told[:1]
    assert told == (line,)


@pytest.mark.parametrize("unit", ["dB", "Np", "octave", "decade", "bit", "rad", "strain", "pi"])
def test_a_pure_number_has_no_unit_of_something_else(unit):
    with pytest.raises(rk.DataError) as caught:
        unit_scale(unit, "-")
    assert str(caught.value) == f"the unit [{unit}] is not that of a pure number: write [-] or [%]"


@pytest.mark.parametrize(("header", "cell"), [("uncertainty [N]", "0.5"), ("relative uncertainty [%]", "1")])
def test_uncertainties_by_row_are_as_one_for_all(tmp_path, header, cell):
    """Equal uncertainties in a column give the numbers of the same one stated in bench.toml."""
    unit = " N" if "[N]" in header else " %"
    by_row = rk.read_bench(folder(tmp_path / "a", FORCE, column(header, cell)))
    stated = rk.read_bench(folder(tmp_path / "b", FORCE + f'uncertainty = "{cell}{unit}"\n'))
    one, other = (rk.fit(rk.PowerLaw, bench) for bench in (by_row, stated))
    assert one.summary == other.summary
    assert one.checks.equals(other.checks)
    np.testing.assert_allclose(by_row.tests[0].reading_errors, stated.tests[0].reading_errors, rtol=1e-15)


def test_plates_with_an_order_of_reading_are_checked(tmp_path):
    """A plate's force is one number and no setting by row."""
    toml = '[[test]]\nkind = "loaded plate"\nfile = "t.csv"\nvolume = "5 mL"\nforce = "9.81 N"\n'
    plate = rk.read_bench(folder(tmp_path / "a", toml, "radius [mm], run order [-]\n26.7, 1\n26.3, 2\n27.5, 3\n"))
    flow = rk.read_bench(folder(tmp_path / "b", FORCE + 'uncertainty = "3 %"\n'))
    assert len(rk.fit(rk.PowerLaw, *flow.tests, *plate.tests).checks)


def test_both_uncertainties_by_row_count(tmp_path):
    rows = column("uncertainty [N], relative uncertainty [%]", "0.5, 1")
    (test,) = rk.read_bench(folder(tmp_path / "a", FORCE, rows)).tests
    np.testing.assert_allclose(test.reading_errors, np.hypot(0.5, 0.01 * test.force), rtol=1e-15)
    assert np.all(np.isfinite(test.residuals(rk.PowerLaw(consistency=500.0, flow_index=0.3))))


def test_two_folders_with_one_barrel_are_fitted_together(tmp_path):
    """The uncertainty of the barrel is computed from the readings, and differs in the last bit."""
    other = ROWS.replace("46.5", "47.25").replace("54.6", "53.9")
    benches = [rk.read_bench(folder(tmp_path / n, FORCE, rows)) for n, rows in (("a", ROWS), ("b", other))]
    errors = [bench.tests[0].model_error for bench in benches]
    assert errors[0] != errors[1]
    assert rk.fit(rk.PowerLaw, *benches).law.consistency > 0


# --- the density of a cup ---------------------------------------------------------------------------------------------

CUP = '[[test]]\nkind = "cup density"\nfile = "cup.csv"\ncup_volume = "100 mL"\nuncertainty = "0.5 g"\nmodel_error = 0\nmodel_error_reason = "of no account here"\n'
SLUMP = '[[test]]\nkind = "cylinder slump"\nfile = "t.csv"\nheight = "100 mm"\ndiameter = "100 mm"\n'
CUP_ROWS = "mass [g]\n110\n"
MEASURED = "1100 ± 5 kg/m³, measured by the cup density test ([[test]] {}: cup density, 1 reading)"


def test_a_cup_serves_every_test_that_needs_a_density(tmp_path):
    """110.0 ± 0.5 g in 100 mL are 1100 ± 5 kg/m3; 3 g in 30 s are then 0.1/1.1 mL/s."""
    path = folder(
        tmp_path / "a",
        RUN + 'read = "flow_rate"\n' + SLUMP.replace("t.csv", "s.csv") + CUP,
        CAUGHT,
        s="slump [mm]\n35\n",
        cup=CUP_ROWS,
    )
    bench = rk.read_bench(path)
    run, slump, _ = bench.tests
    assert run.flow_rate[0] == pytest.approx(1e-7 / 1.1, rel=1e-14)
    assert slump.density == pytest.approx(1100.0, rel=1e-14)
    note = f"density is not stated of the specimen; {MEASURED.format(3)}, was taken."
    assert [one for one in bench.origin.notes if "density" in one][-1] == note
    stated = '[specimen]\ndensity = "1100 ± 5 kg/m3"\n' + SLUMP.replace("t.csv", "s.csv")
    (same,) = rk.read_bench(folder(tmp_path / "b", stated, s="slump [mm]\n35\n")).tests
    assert slump.model_error == pytest.approx(same.model_error, rel=1e-12)
    assert slump.model_error > type(slump).default_model_error


@pytest.mark.parametrize(
    ("density", "more"),
    [("1105 ± 5", ""), ("1200 ± 5", ": they lie 14.1 standard deviations apart, look for the cause")],
)
def test_a_stated_density_is_taken_before_the_cup(tmp_path, density, more):
    toml = f'[specimen]\ndensity = "{density} kg/m3"\n' + CUP + SLUMP
    bench = rk.read_bench(folder(tmp_path / "a", toml, "slump [mm]\n35\n", cup=CUP_ROWS))
    assert bench.tests[1].density == float(density.split()[0])
    note = f"density = {density} kg/m3 was taken as [specimen] states it, and not {MEASURED.format(1)}{more}."
    assert note in bench.origin.notes


def test_two_cups_are_averaged_as_the_properties_of_the_bench_are(tmp_path):
    toml = CUP + CUP.replace("cup.csv", "other.csv") + SLUMP
    bench = rk.read_bench(folder(tmp_path / "a", toml, "slump [mm]\n35\n", cup=CUP_ROWS, other="mass [g]\n111\n"))
    assert bench.tests[2].density == pytest.approx(bench.properties()["density"].value, rel=1e-14)


def test_a_bench_with_a_cup_is_written_and_read_again(tmp_path):
    bench = rk.read_bench(folder(tmp_path / "a", CUP + SLUMP, "slump [mm]\n35\n38\n", cup=CUP_ROWS))
    slump = bench.tests[1]
    for tests in ([slump], [bench.tests[0], slump.where([True, False])]):
        again = rk.write_bench(rk.Bench(bench.specimen, tests, bench.origin), tmp_path / f"b{len(tests)}")
        assert again.tests[-1].density == slump.density


# --- what is not a file of readings -----------------------------------------------------------------------------------


def test_as_many_kinds_as_the_reader_takes(tmp_path):
    with pytest.raises(rk.DataError) as caught:
        rk.new_bench(tmp_path / "many", ["spread"] * 500)
    assert str(caught.value) == "500 kinds were named; 200 tests at most in one folder: make several folders"
    assert not (tmp_path / "many").exists()
    assert (
        len(toml_document((rk.new_bench(tmp_path / "full", ["spread"] * 200) / "bench.toml").read_bytes())["test"])
        == 200
    )


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs another user")
@pytest.mark.parametrize(("inside", "line"), [
    ("", "bench.toml: it cannot be looked into (Permission denied); change the permissions of the folder"),
    ("below", "'{folder}': it cannot be looked into (Permission denied); change the permissions of the folder that it lies in"),
])  # fmt: skip
def test_a_folder_that_may_not_be_read(open_tmp_path, inside, line):
    """Asked by a child of another user, since permissions do not bind the first one."""
    shut = folder(open_tmp_path / "shut", FORCE)
    (shut / "below").mkdir()
    target = shut / inside
    shut.chmod(0o000)
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        try:
            if os.geteuid() == 0:
                os.setuid(65534)
            rk.read_bench(target)
            told = "it was read"
        except BaseException as error:
            told = str(error) if isinstance(error, rk.ReadingError) else repr(error)
        os.write(writer, told.encode())
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader, encoding="utf-8") as opened:
        told = opened.read()
    os.waitpid(child, 0)
    shut.chmod(0o755)
    assert told == line.format(folder=target)
