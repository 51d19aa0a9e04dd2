"""The plans of the demonstration folders: whole, invented and saying so, and good for what the notebooks show. Kind: exact."""

import pytest

import rheokit as rk
from rheokit.workbook import Plan, demo, demos

NAMES = list(demos())
PLANNED = {
    "olive-stone-paste": "Stopped by height before the wall leans",
    "porcelain-body": "Inside every limit judged",
    "gelatin-dope-40": "Inside every limit judged",
    "agar-dope": "Inside every limit judged",
}
"""How the verdict on each begins that has a machine and a job; the olive-stone wall is planned just too high, for its map."""


@pytest.mark.parametrize("name", NAMES)
def test_the_plan_of_a_demo_is_whole_and_says_that_it_is_invented(name):
    plan = Plan.read(demo(name))
    assert plan.faults == []
    assert plan.text("fit", "law") in rk.LAWS
    assert str(plan).startswith("# INVENTED for demonstration")
    for table in ("machine", "job"):
        assert plan.text(table, "origin") == "invented: for demonstration"
    assert all(one.origin.startswith("invented") for one in plan.properties.values())


@pytest.mark.parametrize("name", NAMES)
def test_a_demo_is_planned_whole_or_not_at_all(name):
    """Half a machine would look as if somebody had forgotten the rest."""
    book = rk.Workbook.open(demo(name))
    lacks = bool(book.missing("extruder")), bool(book.missing("job"))
    assert lacks == ((False, False) if name in PLANNED else (True, True))


@pytest.mark.slow
@pytest.mark.parametrize("name", PLANNED)
def test_the_verdict_on_a_demo(name):
    book = rk.Workbook.open(demo(name))
    assert rk.verdict(rk.Case.of(book.material, book.extruder, book.job)).startswith(PLANNED[name])


@pytest.mark.parametrize(("name", "stress"), [("olive-stone-paste", 653.5), ("porcelain-body", 2428.7)])
def test_the_recipe_of_a_demo(name, stress):
    mixed = rk.Workbook.open(demo(name)).mixed
    assert mixed.stress == pytest.approx(stress, rel=1e-3)  # of the line through its readings
    assert mixed.recipe.batch_sheet(0.5).weigh.sum() == pytest.approx(500)


def test_a_bench_that_is_saved_leaves_the_plan_beside_it_as_it_was(tmp_path):
    """plan.toml, what was kept and what else stands in the folder are no trouble to a bench, and stay."""
    book = tmp_path / "book"
    book.mkdir()
    for one in demo("gelatin-dope").iterdir():
        (book / one.name).write_bytes(one.read_bytes())
    others = {
        "plan.toml": (book / "plan.toml").read_bytes(),
        "outcomes.csv": b"part, leaned [mm]\n",
        "kept/force/table.csv": b"x\n",
    }
    for name, raw in others.items():
        (book / name).parent.mkdir(parents=True, exist_ok=True)
        (book / name).write_bytes(raw)
    bench = rk.read_bench(book)
    assert bench.origin.notes == rk.read_bench(demo("gelatin-dope")).origin.notes
    rk.write_bench(rk.Bench(rk.Specimen(paste="another name"), bench.tests, bench.origin), book)
    assert "another name" in (book / "bench.toml").read_text(encoding="utf-8")
    assert {name: (book / name).read_bytes() for name in others} == others
