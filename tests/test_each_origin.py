"""Each number has its own origin: machine, job, recipe and every property, in the same words on pages, in pictures, scripts and the appendix.

Kind       exact (what was typed in the plan says what must be read).
"""

import shutil
from pathlib import Path

import pytest

import rheokit as rk
from rheokit.appendix.document import Caution
from rheokit.appendix.sections import assumed, forces, summary
from rheokit.appendix.study import Study
from rheokit.origins import word_of
from rheokit.widgets.page.fields import choice
from rheokit.widgets.page.paste_fields import WHENCE, bind_whence
from rheokit.widgets.recipe.explorer import RecipeExplorer
from rheokit.workbook.asked import ASKED
from rheokit.workbook.whence import FOR_DEMONSTRATION

DEMO = Path(__file__).parents[1] / "data" / "olive-stone-paste"
SPEED = ASKED["print"]["print_speed"].words
OUR, UNSAID = "our test piece", "assumed: origin not given"


@pytest.fixture
def copy(tmp_path):
    return rk.Workbook.open(shutil.copytree(DEMO, tmp_path / "mine"))


def settings(book):
    """Return where each setting of the plan comes from, by its words, as the appendix says it."""
    table = next(one for one in assumed.section(Study(book)).blocks if getattr(one, "name", "") == "settings")
    return {words: whence for words, _, whence in table.rows}


@pytest.mark.slow
@pytest.mark.parametrize(
    ("machine", "job", "said"),
    [
        (FOR_DEMONSTRATION, OUR, "machine"),
        ("measured: calipers", FOR_DEMONSTRATION, "job"),
        (FOR_DEMONSTRATION, FOR_DEMONSTRATION, "machine and job"),
        ("measured: calipers", OUR, ""),
    ],
)
def test_only_what_is_invented_is_stamped_so(copy, machine, job, said):
    copy.plan.put("machine", "origin", machine)
    copy.plan.put("job", "origin", job)
    study = Study(copy)
    rests = summary._rests_on(study)
    assert (f"; {said} INVENTED" in rests) == bool(said)
    stamps = [block.text for block in forces._warned(study, study.case) if isinstance(block, Caution)]
    stamps = [text for text in stamps if "INVENTED" in text]
    assert len(stamps) == bool(said)
    part = "part" if "job" in said else ""
    assert ("nobody has this machine" in " ".join(stamps)) == ("machine" in said)
    assert ("nobody made this part" in " ".join(stamps)) == ("job" in said)
    subtitle = rk.charts.invented_lines(study.material, *copy.origins)
    shown = " and ".join(filter(None, ["machine" if "machine" in said else "", part]))
    assert [line for line in subtitle if line.endswith(", for demonstration")] == (
        [f"INVENTED {shown}, for demonstration"] if said else []
    )
    script = copy.script()
    assert (f'print("INVENTED {said}, for demonstration")' in script) == bool(said)
    assert script.count("INVENTED machine") + script.count("INVENTED job") == bool(said)


@pytest.mark.slow
def test_what_an_author_stated_has_the_same_word_in_script_and_appendix(copy):
    copy.plan.put("job", "origin", OUR)
    assert f"# numbers of the job: stated: {OUR}\n" in copy.script()
    assert settings(copy)[SPEED] == f"stated: {OUR}"
    assert {word_of(origin) for origin in copy.origins} == {"invented", "stated"}


def test_a_property_that_its_author_stated_is_not_said_to_say_nothing(copy):
    copy.plan.put_property("surface_tension", "60 mN/m", "pendant drop of 3 May")
    assert copy.given["surface_tension"].origin == "stated: pendant drop of 3 May"
    control = bind_whence(choice("it is", list(WHENCE.items())), copy.plan, "surface_tension")
    assert control.label == "stated"
    assert copy.plan.origin("surface_tension") == "pendant drop of 3 May"
    control.value = "measured"
    assert copy.plan.origin("surface_tension") == "measured"


@pytest.mark.slow
def test_a_copy_of_a_demo_says_of_every_setting_that_it_is_invented_until_another_is_typed(copy):
    assert set(settings(copy).values()) == {FOR_DEMONSTRATION}
    copy.plan.put("drying", "length", "77 mm")
    told = settings(copy)
    own = {words for words, whence in told.items() if whence == UNSAID}
    assert set(told.values()) == {FOR_DEMONSTRATION, UNSAID}
    assert own == {ASKED["drying"]["length"].words}


@pytest.mark.slow
def test_the_page_of_the_recipe_of_a_copy_says_the_same(copy):
    page = RecipeExplorer.of(copy)
    words = {row[0]: word_of(row[-1]) for row in page.recipe.rows() if row[-1]}
    assert words["paste to make"] == "invented"
    assert "INVENTED numbers" in page.strip.trust.value
    copy.plan.put("recipe", "batch", "731 g")
    again = RecipeExplorer.of(copy)
    assert {row[0]: word_of(row[-1]) for row in again.recipe.rows() if row[-1]}["paste to make"] == "assumed"


@pytest.mark.slow
def test_a_bench_of_ones_own_is_no_copy(tmp_path):
    place = shutil.copytree(DEMO, tmp_path / "mine")
    bench = place / "bench.toml"
    bench.write_text(bench.read_text("utf-8").replace("olive-stone paste", "hazel paste"), "utf-8")
    book = rk.Workbook.open(place)
    told = settings(book)
    assert told[SPEED] == FOR_DEMONSTRATION, "its table says so"
    assert UNSAID in told.values()


def test_settings_that_nobody_typed_stand_with_what_was_taken_for_them(copy):
    drag = "drag of the barrel wall, 1: no slip (machine): taken as 1, the most"
    assert drag in assumed._not_typed(Study(copy))
    copy.plan.put("machine", "barrel_drag", "0.8")
    typed = assumed._not_typed(Study(copy))
    assert drag not in typed and any(one.startswith("error of the speed") for one in typed)
