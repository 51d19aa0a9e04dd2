"""Whose a number of the apparatus is: stated, measured by a test of the bench, or assumed; and that each place says the same. All invented."""

from types import SimpleNamespace

import pytest
from test_appendix_sections import folder

import rheokit as rk
from rheokit.appendix import classical_corrections
from rheokit.appendix.sections import cautions, corrections, model, protocol
from rheokit.appendix.study import Study
from rheokit.bench.whence import measured_by, word_of

CURVE = "plunger speed [mm/s], force [N]\n0.02, 19.7\n0.05, 22.4\n0.1, 24.8\n0.2, 28.8\n0.5, 37.2\n1.0, 45.1\n"
BARREL = '[specimen]\npaste = "mine"\nbatch = "P"\ntemperature = "22 °C"\n[apparatus.syringe]\nbarrel_diameter = "22.4 mm"\nfill_length = "70 mm"\n{}'
RUN = '[[test]]\nkind = "syringe force"\nfile = "a.csv"\napparatus = "syringe"\nbore = "1.83 mm ± 1 %"\nlength = "12 mm"\nread = "force"\nuncertainty = "3 %"\n'
EMPTY = '[[test]]\nkind = "empty barrel"\nfile = "e.csv"\napparatus = "syringe"\nuncertainty = "0.2 N"\n'
FORCE = "force [N]\n5.0\n5.4\n5.1\n5.5\n"


def opened(place, friction="", tests=RUN + EMPTY, plan=""):
    made = folder(place, BARREL.format(friction) + tests, a_csv=CURVE, **({"e_csv": FORCE} if EMPTY in tests else {}))
    (made / "plan.toml").write_text(plan, encoding="utf-8")
    return Study(rk.Workbook.open(made))


@pytest.mark.parametrize(
    ("friction", "tests", "word", "by"),
    [
        ("", RUN + EMPTY, "measured", "empty barrel test"),
        ('plunger_friction = "5 ± 0.5 N"\n', RUN + EMPTY, "stated", ""),
        ('plunger_friction = "5 N"\n', RUN, "stated", ""),
    ],
)
def test_the_word_for_a_friction_follows_where_it_comes_from(tmp_path, friction, tests, word, by):
    run = opened(tmp_path / "mine", friction, tests).bench.tests[0]
    assert (word_of(run, "plunger_friction"), measured_by(run, "plunger_friction")) == (word, by)


def test_what_the_reader_took_itself_is_assumed(tmp_path):
    plate = '[specimen]\npaste = "mine"\n[[test]]\nkind = "loaded plate"\nfile = "p.csv"\nvolume = "6 mL"\nload_mass = "1.5 kg"\n'
    made = folder(tmp_path / "mine", plate, p_csv="radius [mm]\n32.6\n32.1\n")
    (test,) = rk.read_bench(made).tests
    assert (word_of(test, "wall_friction"), word_of(test, "volume")) == ("assumed", "stated")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("friction", "word", "other"),
    [("", "measured", "stated"), ('plunger_friction = "5 ± 0.5 N"\n', "stated", "measured")],
)
def test_every_place_that_names_the_friction_has_the_same_word(tmp_path, friction, word, other):
    study = opened(tmp_path / "mine", friction)
    comments = " ".join(row.comment for row in study.fit.checks.itertuples() if row.question.startswith("friction"))
    assert f"({word} 5" in comments and f"({other} 5" not in comments
    (told,) = classical_corrections._friction(study)
    assert f"({word} 5" in told and f"({other} 5" not in told
    assert corrections.section(study)


def test_an_empty_barrel_held_no_paste(tmp_path):
    study = opened(tmp_path / "mine")
    table = next(one for one in protocol.section(study).blocks if getattr(one, "name", "") == "protocol")
    (run, empty) = [dict(zip(table.columns, row, strict=True)) for row in table.rows]
    assert (run["batch"], run["temperature"]) == ("P", "22 °C")
    assert [empty[one] for one in ("batch", "temperature", "water content u", "age", "use")] == [
        *["-"] * 4,
        "property of the apparatus",
    ]


@pytest.mark.slow
def test_an_empty_barrel_has_no_residual_since_it_tells_of_the_apparatus(tmp_path):
    table = next(
        one for one in model.section(opened(tmp_path / "mine")).blocks if getattr(one, "name", "") == "error-model"
    )
    assert table.rows[-1][4] == model.OF_APPARATUS != model.NO_RESIDUAL


def test_a_rating_that_the_authors_wrote_of_stands_beside_the_caution_that_asks_for_it():
    plan = SimpleNamespace(
        text=lambda table, key: (
            "steel barrel, 1.5 MPa printed" if (table, key) == ("page.appendix", "bench_rating") else ""
        )
    )
    bare = SimpleNamespace(text=lambda *_: "")
    said = f"Read at 194 kPa.{cautions.UNRATED_WORDS} Never drive one with air"
    told = cautions._with_rating(SimpleNamespace(book=SimpleNamespace(plan=plan)), said)
    assert (
        "What the authors wrote of a rating (“Apparatus”), which no program reads: steel barrel, 1.5 MPa printed. Never"
        in told
    )
    assert cautions._with_rating(SimpleNamespace(book=SimpleNamespace(plan=bare)), said) == said
