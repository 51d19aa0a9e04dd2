"""What the appendix says: every section of every demonstration folder, and its numbers against those of the library and of the files."""

import math
import shutil
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest

import rheokit as rk
from rheokit.appendix.authors import KEYS
from rheokit.appendix.composing import appendix_of
from rheokit.appendix.document import Caution, Equation, Figure, Listing, Paragraph, Points, Section, Shown
from rheokit.appendix.sections import ORDER, modules
from rheokit.appendix.sections.sources import CITED, DERIVED, MEMORY, PRACTICE, verified
from rheokit.appendix.study import Study
from rheokit.corrections.inertia import kinetic_share
from rheokit.limits import judge, sure
from rheokit.workbook.of_drying import drawn_sizes, drying_of

DATA = Path(__file__).parent.parent / "data"
FOLDERS = sorted(one.name for one in DATA.iterdir() if (one / "bench.toml").is_file())
DEMO = "olive-stone-paste"
DATE = "2026-03-02T00:00:00Z"
MADE = {}

ASKED = {  # of a reproducible appendix: the thirteen points of a reviewer, each with tables and figures that answer it (common practice, no source)
    "material": ("properties", "recipe"),
    "apparatus": ("apparatus",),
    "protocol": ("protocol",),
    "raw data": ("files", "data-dictionary", "readings-1", "readings-12"),
    "corrections": ("corrections",),
    "model": ("error-model", "priors", "bounds", "laws"),
    "estimates": ("estimates", "correlations", "stresses"),
    "residuals": ("residuals", "residuals-rate", "residuals-order", "patterns"),
    "validity": ("validity", "flow-curve"),
    "budget": ("budget-force",),
    "independent check": ("yield-stress-readings", "yield-stresses"),
    "computing": ("environment",),
    "not measured": ("not-measured", "assumed", "settings"),
    "predictions": ("forces", "pressure-by-parts", "limits", "not-judged", "windows", "printable-region", "standing", "dry-size", "drying"),
    "beside": ("checks", "symbols", "sources"),
}  # fmt: skip
PLAIN_NUMBERS = {"row", "factor", "readings"}  # headings of numbers without a unit


def appendix(name):
    """Return the appendix of a folder of demonstration data, composed once."""
    if name not in MADE:
        MADE[name] = appendix_of(Study(rk.Workbook.open(DATA / name)), DATE)
    return MADE[name]


def table(name, folder=DEMO):
    """Return a table of the appendix of a folder by its name."""
    return next(one for one in appendix(folder).tables if one.name == name)


def texts(document):
    """Return every text that a document says, without the pictures."""
    for block in document.blocks():
        if isinstance(block, Paragraph | Caution | Listing):
            yield block.text
        elif isinstance(block, Points):
            yield from block.texts
        elif isinstance(block, Equation):
            yield f"{block.text} {block.spoken} {block.source}"
        elif isinstance(block, Figure):
            yield f"{block.caption} {block.words}"
        else:
            yield f"{block.caption} {block.note}"
            yield from (str(cell) for row in (block.columns, *block.rows) for cell in row)


def folder(place, bench, **files):
    """Return a folder with a bench.toml and files of readings."""
    place.mkdir()
    (place / "bench.toml").write_text(bench, encoding="utf-8")
    for name, text in files.items():
        (place / name.replace("_", ".")).write_text(text, encoding="utf-8")
    return place


PLATE = '[[test]]\nkind = "loaded plate"\nfile = "p.csv"\nvolume = "5 mL"\nforce = "9.81 N"\n'
SLUMP = '[[test]]\nkind = "cylinder slump"\nfile = "s.csv"\nheight = "100 mm"\ndiameter = "100 mm"\n'
POOR = {"p_csv": "radius [mm]\n26.1\n25.7\n26.6\n", "s_csv": "slump [mm]\n31\n33\n29\n"}


def poor(place, more="", specimen='paste = "clay of mine"\ndensity = "1800 kg/m3"'):
    """Return a folder with a plate and a slump alone, and no plan."""
    return folder(place, f"[specimen]\n{specimen}\n{PLATE}{SLUMP}{more}", **POOR)


def test_every_file_of_a_section_stands_in_the_order():
    home = Path(rk.__file__).parent / "appendix" / "sections"
    assert sorted(one.stem for one in home.glob("*.py") if one.stem != "__init__") == sorted(ORDER)
    assert len({module.TITLE for module in modules()}) == len(ORDER)


@pytest.mark.slow
@pytest.mark.parametrize("name", FOLDERS)
def test_an_appendix_of_every_folder(name):
    document = appendix(name)
    assert all(isinstance(one, Section) for one in document.sections)
    names = [one.name for one in (*document.tables, *document.figures)]
    assert len(names) == len(set(names)), "a file is made of each name"
    paste = rk.read_bench(DATA / name).specimen.paste
    assert "INVENTED" in " ".join(document.subtitle)
    for one in (*document.tables, *document.figures):
        assert one.caption.endswith("."), one.name
        assert paste in one.caption, one.name
    for one in document.figures:
        assert one.svg.startswith("<svg")
        assert len(one.words) > 20, one.name
    for one in document.tables:
        assert one.rows, one.name
        units = any(head.startswith(("unit", "spread in")) for head in one.columns)
        for place, head in enumerate(one.columns):
            cells = [row[place] for row in one.rows if isinstance(row[place], Shown)]
            assert all(math.isfinite(cell.value) or cell.text == "no limit" for cell in cells), (one.name, head)
            if cells and one.name not in ("correlations",):
                assert units or "[" in head or head in PLAIN_NUMBERS, f"{one.name}: {head} has numbers and no unit"
    said = "\n".join(texts(document))
    assert str(DATA) not in said
    assert "Traceback" not in said
    assert "according to ISO" not in said


# --- the numbers are those of the library -----------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("point", ASKED)
def test_a_reviewer_finds_each_point(point):
    document = appendix(DEMO)
    assert set(ASKED[point]) <= {one.name for one in (*document.tables, *document.figures)}


@pytest.mark.slow
def test_estimates_and_stresses_are_those_of_the_fit():
    fit = rk.Workbook.open(DATA / DEMO).fit
    by_name = {row[0]: row for row in table("estimates").rows}
    for name, row in fit.table.iterrows():
        shown = by_name[name.replace("_", " ")]
        assert [cell.value for cell in shown[2:5]] == pytest.approx([row.value, row.low, row.high], rel=1e-9)
        assert shown[5].value == pytest.approx(row.stderr, rel=1e-9)
    head = table("stresses").columns[1]
    kilo = 1000 if "kPa" in head else 1
    for shown, (rate, row) in zip(table("stresses").rows, fit.stresses.iterrows(), strict=True):
        assert shown[0].value == rate
        assert [cell.value * kilo for cell in shown[1:4]] == pytest.approx([row.value, row.low, row.high], rel=1e-9)
    matrix = np.array([[cell.value for cell in row[1:]] for row in table("correlations").rows])
    assert matrix == pytest.approx(fit.correlations.to_numpy(), abs=1e-9)
    printed = np.array([[float(cell.text) for cell in row[1:]] for row in table("correlations").rows])
    assert np.linalg.eigvalsh(printed)[0] > 0  # whoever computes with what is printed has variances
    assert "positive definite" in table("correlations").caption


@pytest.mark.slow
def test_readings_and_hashes_are_those_of_the_files():
    shown = {row[0]: row for row in table("files").rows}
    for path in DATA.glob(f"{DEMO}/*.*"):
        raw = path.read_bytes()
        assert shown[path.name][3] == sha256(raw).hexdigest()
        assert shown[path.name][2].value == len(raw)
    lines = (DATA / DEMO / "syringe-20-mm.csv").read_text(encoding="utf-8").splitlines()
    assert [list(row[1:5]) for row in table("readings-1").rows] == [
        [cell.strip() for cell in line.split(",")] for line in lines[2:]
    ]
    speed, area = 0.4e-3, math.pi * 0.0267**2 / 4  # m/s, m²: by hand
    assert table("readings-1").rows[-1][5].value == pytest.approx(speed * area / 1e-9, rel=1e-9)  # mm³/s
    factor = next(row for row in table("data-dictionary").rows if row[1] == "plunger speed [mm/s]")
    assert factor[6].value == 1e-3


@pytest.mark.slow
def test_force_and_pressure_have_the_interval_of_the_fit():
    book = rk.Workbook.open(DATA / DEMO)
    case = rk.Case.of(book.material, book.extruder, book.job)
    flow = float(case.flow_rate)
    force = book.fit.interval(lambda law, rig: rig.plunger_force(law, flow), extruder=book.extruder)
    shown = table("forces").rows[0]
    assert [cell.value for cell in shown[1:4]] == pytest.approx(force[:3], rel=1e-9)
    total = sum(row[1].value for row in table("pressure-by-parts").rows)
    pressure = table("forces").rows[1][1].value
    assert total == pytest.approx(pressure, rel=1e-6), "the parts add up to the pressure at the plunger face"
    assert sum(row[2].value for row in table("pressure-by-parts").rows) == pytest.approx(100)


@pytest.mark.slow
def test_limits_are_those_that_were_judged():
    book = rk.Workbook.open(DATA / DEMO)
    judged = judge(sure(rk.Case.of(book.material, book.extruder, book.job), book.material))
    kept = judged[~judged.verdict.isin(["not judged", "not asked"])]
    assert [row[1] for row in table("limits").rows] == list(kept.label)
    assert [row[0] for row in table("limits").rows] == list(kept.verdict)
    assert [row[0] for row in table("not-judged").rows] == list(judged[judged.verdict == "not judged"].index)


@pytest.mark.slow
def test_failed_checks_stand_first_and_forbid():
    name = "trap-migration"
    verdicts = [row[0] for row in table("checks", name).rows]
    assert verdicts[0] == "FAILED"
    words = [one.partition(",")[0] for one in verdicts]
    assert words == sorted(words), "FAILED comes before passed"
    stamp = rk.Workbook.open(DATA / name).fit.stamp
    assert stamp in " ".join(appendix(name).subtitle)
    cautions = [block.text for block in appendix(name).blocks() if isinstance(block, Caution)]
    assert stamp in cautions


# --- folders of other people ------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_of_a_yield_stress_alone_no_law_is_claimed(tmp_path):
    document = appendix_of(Study(rk.Workbook.open(poor(tmp_path / "poor"))), DATE)
    tables = {one.name: one for one in document.tables}
    by_name = {row[0]: row for row in tables["estimates"].rows}
    assert by_name["consistency"][2] == "not identified"
    assert by_name["flow index"][2] == "not identified"
    assert isinstance(by_name["yield stress"][2], Shown)
    assert {row[1] for row in tables["stresses"].rows} == {"not identified"}
    assert "INVENTED" not in "\n".join(texts(document)).replace("INVENTED for demonstration", "")
    assert not {"forces", "limits", "windows"} & tables.keys()
    said = "\n".join(texts(document))
    assert "bore of the barrel D_0 [mm] (notebook 2, or [machine] barrel_diameter in plan.toml)" in said
    assert (
        "to be filled in by the authors, [page.appendix] in plan.toml: suppliers and lots of the ingredients (suppliers)"
        in said
    )


@pytest.mark.slow
def test_without_readings_each_section_says_what_it_needs(tmp_path):
    place = rk.new_bench(tmp_path / "blank", ["loaded plate"])
    document = appendix_of(Study(rk.Workbook.open(place)), DATE)
    assert len(document.sections) > 20
    assert any("no reading yet" in text for text in texts(document))
    assert str(tmp_path) not in "\n".join(texts(document))


@pytest.mark.slow
def test_a_fault_of_a_file_is_told_with_its_name_and_once(tmp_path):
    place = poor(tmp_path / "faulty")
    (place / "s.csv").write_text("slump [mm]\nabc\n", encoding="utf-8")
    said = [
        block.text for block in appendix_of(Study(rk.Workbook.open(place)), DATE).blocks() if isinstance(block, Caution)
    ]
    assert said[0].startswith("Not all of the folder can be read")
    assert "s.csv, row 2, column 1 (slump [mm]): 'abc' is not a number" in said[0]
    assert said[1].startswith("Not known: s.csv, row 2, column 1 (slump [mm]): 'abc' is not a number")
    assert said[2] == "Not known, for the reason given under “Corrections”."


def _unreadable(place):
    """Write into a folder what nobody can read, each of another kind; yield words that the appendix has all the same."""
    bench = (place / "bench.toml").read_text(encoding="utf-8")
    return {
        "no density": {"bench.toml": bench.replace('density = "1800 kg/m3"', "")},
        "a word among numbers": {"s.csv": "slump [mm]\nabc\n"},
        "no such kind": {"bench.toml": bench.replace("cylinder slump", "dropped egg")},
        "single brackets": {"bench.toml": bench.replace("[[test]]", "[test]", 1).partition("[[test]]")[0]},
        "no TOML": {"bench.toml": bench + "= 1"},
        "nothing at all": {"p.csv": "", "s.csv": ""},
    }


@pytest.mark.slow
@pytest.mark.parametrize(
    "kind", ["no density", "a word among numbers", "no such kind", "single brackets", "no TOML", "nothing at all"]
)
def test_what_can_be_read_is_printed_whatever_cannot(kind, tmp_path):
    place = poor(tmp_path / "part")
    for name, text in _unreadable(place)[kind].items():
        (place / name).write_text(text, encoding="utf-8")
    document = appendix_of(Study(rk.Workbook.open(place)), DATE)
    tables = {one.name: one for one in document.tables}
    hashes = {row[0]: row[3] for row in tables["files"].rows}
    assert hashes["bench.toml"] == sha256((place / "bench.toml").read_bytes()).hexdigest()
    listings = "\n".join(block.text for block in document.blocks() if isinstance(block, Listing))
    assert (place / "bench.toml").read_text(encoding="utf-8") in listings
    whole = "\n".join(texts(document))
    assert "No law is fitted, and what rests on one is not known." in "\n".join(document.subtitle)
    assert "one batch alone was read" not in whole
    assert "there is no bench" not in whole
    assert "Numbers of the extruder: assumed" not in whole
    if kind != "no TOML":
        assert document.title.startswith("clay of mine")
    else:
        protocol = next(one for one in document.sections if one.title == "Protocol")
        (wrong,) = [one.text for one in protocol.blocks if isinstance(one, Caution)]
        assert wrong.startswith("Not known: bench.toml: it is not valid TOML: ") and "line" in wrong
        (held,) = [one.text for one in protocol.blocks if isinstance(one, Listing)]
        assert held == (place / "bench.toml").read_text(encoding="utf-8")
        assert any("What no column of a file says" in getattr(one, "text", "") for one in protocol.blocks)
    if kind in ("no density", "a word among numbers", "no such kind"):
        assert [float(str(row[1])) for row in tables["readings-1"].rows] == [26.1, 25.7, 26.6]
        assert (place / "s.csv").read_text(encoding="utf-8") in listings or kind == "no such kind"
        assert any("volume" in str(cell) for row in tables["apparatus"].rows for cell in row)


@pytest.mark.slow
def test_names_are_text_whatever_they_hold(tmp_path):
    name = "$x$ #let *a* \\\\ =cmd|' /C calc'!A0 \U0001f9ea \u6f22\u5b57 " + "x" * 3000
    place = poor(tmp_path / "=1+1", specimen=f'paste = "paste"\nnote = "{name}"\ndensity = "1800 kg/m3"')
    plan = '[page.appendix]\nsuppliers = "<b>=1+1</b>"\n[[recipe.ingredient]]\nname = "=HYPERLINK(1)"\nmass = "10 g"\n'
    (place / "plan.toml").write_text(plan, encoding="utf-8")
    document = appendix_of(Study(rk.Workbook.open(place)), DATE)
    said = list(texts(document))
    assert any("\U0001f9ea \u6f22\u5b57" in text for text in said)
    assert "Suppliers and lots of the ingredients: <b>=1+1</b>" in said
    assert "=HYPERLINK(1)" in said


@pytest.mark.slow
def test_what_authors_wrote_stands_in_its_place(tmp_path):
    place = poor(tmp_path / "told")
    lines = [f'{key} = "told of {key}"' for key in KEYS]
    (place / "plan.toml").write_text("[page.appendix]\n" + "\n".join(lines), encoding="utf-8")
    said = "\n".join(texts(appendix_of(Study(rk.Workbook.open(place)), DATE)))
    assert all(f"told of {key}" in said for key in KEYS)
    assert "to be filled in by the authors" not in said


@pytest.mark.slow
def test_two_runs_say_the_same_wherever_the_folder_stands(tmp_path):
    places = [tmp_path / "a" / "dope", tmp_path / "b" / "c" / "dope"]
    for place in places:
        shutil.copytree(DATA / "gelatin-dope", place)
    one, other = (appendix_of(Study(rk.Workbook.open(place)), DATE) for place in places)
    assert one == other


# --- what is computed below for it -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("source", "how_far"),
    [
        ("Bagley, J. Appl. Phys. 28 (1957) 624 (from memory)", MEMORY),
        ("common practice, no source", PRACTICE),
        ("force balance on the plunger", DERIVED),
        ("Herschel and Bulkley, Kolloid-Zeitschrift 39 (1926) 291", CITED),
        ("definition (from memory); sizes are common practice, no source", f"{MEMORY}; {PRACTICE}"),
    ],
)
def test_how_far_a_source_was_verified(source, how_far):
    assert verified(source) == how_far


def test_inertia_by_hand():
    """U = 4·2e-7/(π·0.0021²) = 57.743 mm/s; 1.12·1130·U² = 4.2198 Pa, of 20 kPa and of 80 kPa."""
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2.1e-3, length=0.03))
    run = rk.PressureRun(nozzle=nozzle, flow_rate=[2e-7, 2e-7], pressure=[20e3, 80e3], read="pressure")
    assert kinetic_share([run], 1130.0) == pytest.approx((4.2198 / 80e3, 4.2198 / 20e3), rel=1e-4)
    plate = rk.LoadedPlate(volume=5e-6, force=9.81, radius=[0.026])
    assert kinetic_share(rk.Bench(rk.Specimen(paste="a"), [plate]), 1130.0) is None


def test_sizes_to_draw_and_drying_of_a_plan():
    """60 mm dry at a shrinkage of 0.08046 on the wet length: 60/(1 - 0.08046) = 65.250 mm, by hand."""
    book = rk.Workbook.open(DATA / DEMO)
    sizes = drawn_sizes(book)
    shrinkage = sizes["length"].shrinkage.value
    assert shrinkage == pytest.approx(0.0804602, rel=1e-5)
    assert sizes["length"].drawn == pytest.approx(0.06 / (1 - 0.0804602), rel=1e-5)
    assert sizes["length"].low < sizes["length"].drawn < sizes["length"].high
    wall = drying_of(book, book.mixed)
    assert wall.depth == pytest.approx(1.6e-3 * 1.22 / 2, rel=1e-9), "both faces dry"
    assert wall.fluxes[0] == pytest.approx(rk.drying.room_fluxes(273.15 + 22, 0.5, (3.5, 3.0, 4.0))[0], rel=1e-9), (
        "a demo that says nothing dries in still air"
    )


@pytest.mark.slow
def test_laws_that_were_chosen_are_compared_too(tmp_path):
    place = poor(tmp_path / "rivals")
    (place / "plan.toml").write_text('[page.fit]\ncompare = ["Robertson-Stiff"]\n', encoding="utf-8")
    document = appendix_of(Study(rk.Workbook.open(place)), DATE)
    shown = [row[0] for one in document.tables if one.name == "laws" for row in one.rows]
    assert {"Robertson-Stiff", "Herschel-Bulkley", "Bingham"} <= set(shown)
    assert "three-component" not in shown
    assert any(text.startswith("Not compared here: Carreau-Yasuda") for text in texts(document))
