"""What a report says of a folder is true of it: tests that are alike are told apart, what was stated with ± is not exact, laws that were fitted are said to be."""

import shutil
from pathlib import Path

import pytest

import rheokit as rk
from rheokit.fitting.comparison import compared
from rheokit.workbook import script
from rheokit.workbook.made import NotKnownYet

KITCHEN = Path(__file__).parent.parent / "data" / "kitchen"
TWO = """
[specimen]
density = "1600 kg/m3"

[apparatus.syringe]
barrel_diameter = "20 ± 0.2 mm"
bore = "2 ± 0.02 mm"
length = "{length}"
plunger_friction = "3 ± 0.5 N"
fill_length = "60 mm"

[[test]]
kind = "syringe force"
file = "slow.csv"
read = "force"
apparatus = "syringe"
{first}
[[test]]
kind = "syringe force"
file = "fast.csv"
read = "force"
apparatus = "syringe"
{second}
"""


@pytest.fixture
def folder(tmp_path):
    def made(first="", second="", length="20 mm"):
        (tmp_path / "bench.toml").write_text(TWO.format(first=first, second=second, length=length), "utf-8")
        (tmp_path / "slow.csv").write_text("plunger speed [mm/s],force [N]\n0.1,40\n0.2,47\n0.4,55\n")
        (tmp_path / "fast.csv").write_text("plunger speed [mm/s],force [N]\n0.8,66\n1.6,80\n3.2,98\n")
        return rk.read_bench(tmp_path)

    return made


def test_tests_that_are_alike_are_told_apart_by_their_file(folder):
    """Two of a kind without a label have the name of their batch everywhere, else of their file; a label tells them by itself."""
    assert [test.name for test in folder().tests] == ["syringe force (slow.csv)", "syringe force (fast.csv)"]
    assert [test.name for test in folder('label = "a"', 'label = "b"').tests] == [
        "syringe force 'a'",
        "syringe force 'b'",
    ]
    tests = folder('batch = "1"', 'batch = "2"').tests
    assert [test.name for test in tests] == ["syringe force (batch 1)", "syringe force (batch 2)"]
    assert [test.name_and_batch for test in tests] == [test.name for test in tests], "the batch is said once"
    assert tests[0].heading.startswith("syringe force (batch 1): 3 readings")
    for one in (folder('batch = "1"'), folder('batch = "1"', 'batch = "1"')):  # one thing tells all of them
        assert [test.name for test in one.tests] == ["syringe force (slow.csv)", "syringe force (fast.csv)"]
        assert one.tests[0].name_and_batch == "syringe force (slow.csv), batch 1"
    labelled = folder('label = "a"\nbatch = "1"', 'label = "b"\nbatch = "2"').tests
    assert [test.name for test in labelled] == ["syringe force 'a'", "syringe force 'b'"]
    assert labelled[0].name_and_batch == "syringe force 'a', batch 1"
    first = folder().tests[0]
    assert first.where(first.readings > 50).name == "syringe force (slow.csv)"


def test_a_dimension_with_its_uncertainty_is_not_exact(folder):
    """What counts in the factor of the theory as a stated dimension does not stand among the exact numbers; the rest does."""
    fit = rk.fit(rk.PowerLaw, folder())
    found = rk.fitting.uncertainty_budget(fit, lambda law: law.shear_stress(30.0), unit="Pa")
    assert any("stated dimensions" in one for one in found.table.quantity)
    named = [one for one in found.exact.quantity if "syringe" in one]
    assert not any("barrel diameter" in one for one in named)
    assert any("length of the land" in one for one in named)


def test_a_law_that_was_fitted_is_never_called_not_fitted(tmp_path):
    """A law of as many parameters as readings keeps its verdict, and says what it leaves."""
    shutil.copytree(KITCHEN, tmp_path / "few")
    bench = rk.read_bench(tmp_path / "few")
    tests = [test.where([k < 2 for k in range(len(test.readings))]) for test in bench.tests if not test.gives][:2]
    fit = rk.fit(rk.HerschelBulkley, *tests)
    frame = compared([rk.PowerLaw, rk.HerschelBulkley], tests, known=(fit,))
    assert "too many parameters" in frame.verdict["Herschel-Bulkley"]
    assert frame.rms["Herschel-Bulkley"] >= 0
    assert compared([rk.PowerLaw, rk.HerschelBulkley], tests).rms.isna()["Herschel-Bulkley"]


def test_a_recipe_that_lacks_its_water_is_not_told_as_if_that_of_the_paste_were_not_known():
    """The paste that was tested may have a measured water content: what lacks is what the recipe is to have."""
    told = str(NotKnownYet("recipe", [("recipe", "water_content"), ("recipe", "ingredient")]))
    assert told == (
        "The recipe is not known yet: the plan lacks the water content u (dry basis) that the recipe is to have [-] (notebook 4, or [recipe] water_content in "
        "plan.toml); the ingredients of the recipe (notebook 4, or [recipe] ingredient in plan.toml)."
    )


@pytest.mark.parametrize(("water", "lacks"), [(1.27, False), (None, True)])
def test_a_script_names_only_what_lacks_to_vary_the_water(water, lacks):
    (told,) = (line for line in script._window_lines(["bore"], water) if "is not varied" in line)
    assert ("the water content of the paste, or" in told) == lacks and "how it softens with water" in told
    assert not any("is not varied" in line for line in script._window_lines(["bore", "water_content"], 1.27))
