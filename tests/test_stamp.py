"""What failed checks put on every number: whether it may be used, the likeliest cause, the rows to mark.

Kind       the faults were planted in invented benches, so the cause is known; the words are decisions.
Trust      D: no print behind it.
"""

import re
import warnings
from functools import lru_cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

import rheokit as rk
from rheokit import charts
from rheokit.bench.force_run import FRICTION_KNOWN, FRICTION_OPEN
from rheokit.checking import Check
from rheokit.fitting import stamp
from rheokit.origins import in_short
from rheokit.widgets.fit import words as fit_words
from rheokit.widgets.nozzle import words as nozzle_words
from rheokit.widgets.page.strip import STOPPED

ROOT = Path(__file__).parents[1]
PLANTED = {  # the check that catches it, and the cause that is named
    "trap-transient-rows": ("rows read when steady", "rows were read before the flow was steady"),
    "trap-migration": ("no drift through the stroke", "the paste was filtered or dried along the stroke"),
    "trap-plug-slip": ("no flow below yield (slip)", "the paste slips at the wall"),
    "trap-cooling-needle": ("needle keeps its temperature", "a bare needle was colder than the barrel"),
}
LAWS = {"trap-cooling-needle": rk.heated(rk.Newtonian)}  # of a trap that is no paste


@lru_cache
def fitted(name):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        result = rk.fit(LAWS.get(name, rk.HerschelBulkley), rk.read_bench(ROOT / "data" / name))
        result.checks  # noqa: B018  (computed here, where warnings are silent)
        return result


def of(*rows):
    """Return something with these checks and no fit behind them."""
    rows = [row if isinstance(row, Check) else Check(row, 1, 0, row.startswith("ok"), "") for row in rows]
    return SimpleNamespace(checks_with_rows=pd.DataFrame(rows, columns=Check._fields))


def curve(*stray):
    """Return twelve invented readings of a power law with 2 % of error, those of some rows 40 % too high."""
    rates = np.geomspace(1, 100, 12)
    stress = (
        50 * rates**0.7 * np.exp(0.02 * np.sin(np.arange(12) * 2.4)) * np.where(np.isin(np.arange(12), stray), 1.4, 1)
    )
    return rk.FlowCurve(shear_rate=rates, shear_stress=stress, relative_uncertainty=0.02)


def stamped(result, cause):
    """Hold everything that a reader sees of a fit against its stamp."""
    failed = int((~result.checks.passed).sum())
    said = f"{failed} of {len(result.checks)} checks failed: not to be used. Likeliest cause: {cause}. "
    assert failed >= 1
    assert result.stamp.startswith(said)
    for shown in (repr(result), result.summary, result.verdict):
        assert shown.startswith(said), "the stamp is read first"
    html = result._repr_html_()
    assert html.startswith("<div class='mathjax_ignore'><div role='alert'>") and html.index(said) < html.index(
        "<table>"
    )
    questions = (
        re.search(r" Failed: (.*?)\.(?: Seen, more than chance| Passed, although|$)", result.verdict)
        .group(1)
        .split(", ")
    )
    assert questions == list(stamp.failed(result).question)
    assert f"FAILED  {questions[0]}: " in result.summary.split("\n\n")[-1].split("\n")[0]


@pytest.mark.slow
@pytest.mark.parametrize("name", PLANTED)
def test_the_fault_that_was_planted_is_caught_by_a_named_check_and_named_as_the_likeliest_cause(name):
    check, cause = PLANTED[name]
    assert not fitted(name).checks.set_index("question").passed[check]
    stamped(fitted(name), cause)


def test_every_trap_is_tried():
    assert {path.name for path in (ROOT / "data").glob("trap-*")} == set(PLANTED)


def test_one_stray_reading_is_the_likeliest_cause_and_marked():
    result = rk.fit(rk.PowerLaw, curve(4))
    stamped(result, "single readings lie far off")
    assert result.suspect_rows == ((0, 4),)


def test_the_best_of_several_laws_is_not_called_good_where_its_checks_forbid_to_use_it():
    laws = [rk.PowerLaw, rk.Newtonian]
    assert rk.compare(laws, curve(4)).verdict.to_dict() == {
        "power law": "best of these, but its checks failed: not to be used",
        "Newtonian": "does not describe these readings",
    }
    assert rk.compare(laws, curve()).verdict.iloc[0] == "describes the readings best"
    one = curve(4)
    two_rates = np.where(one.shear_rate < 10, 1.0, 30.0)  # through two points both laws go alike
    stress = one.shear_stress * (two_rates / one.shear_rate) ** 0.7
    alike = rk.FlowCurve(shear_rate=two_rates, shear_stress=stress, relative_uncertainty=0.02)
    first, second = rk.compare([rk.PowerLaw, rk.Bingham], alike).verdict
    assert second == "not to be told apart from the best"
    assert first == "best, but not to be told apart from the next; its checks failed: not to be used"


def test_a_curve_without_a_fault_carries_no_stamp():
    sound(rk.fit(rk.PowerLaw, curve()))


@pytest.mark.slow
def test_rows_of_the_likeliest_cause_are_to_be_marked():
    """The early rows by their times; of a drifting record every row."""
    transient, migration = fitted("trap-transient-rows"), fitted("trap-migration")
    early = [test.time < 600 if test.time is not None else np.zeros(1, bool) for test in transient.tests]
    marked = transient.suspect_rows
    assert marked and all(early[place][row] for place, row in marked)
    (record,) = {place for place, _ in migration.suspect_rows}
    assert [row for _, row in migration.suspect_rows] == list(range(len(migration.tests[record].readings)))


@pytest.mark.slow
def test_a_sound_test_is_not_accused_of_what_another_did():
    """The slipping bores contradict the sound plate: the plate's rows were ringed, and none that slips."""
    slips = fitted("trap-plug-slip")
    bores = [place for place, test in enumerate(slips.tests) if test.kind == "syringe force"]
    assert len(bores) == 3
    # least wall stress P D/(4 L) = 120 kPa/40 = 3000 Pa, above the 2500 Pa of the paste: no row is proved to slide, so all count
    assert set(slips.suspect_rows) == {(place, row) for place in bores for row in range(6)}


def test_a_cause_whose_check_names_no_rows_rings_none():
    silent, loud = (
        Check("yield stresses agree", 9, 2, False, ""),
        Check("no reading pulls the fit", 9, 3, False, "", ((0, 1),)),
    )
    assert stamp.suspect_rows(of(silent, loud)) == ()
    assert stamp.suspect_rows(of(loud)) == ((0, 1),)


def test_a_remedy_that_is_a_line_of_a_file_names_the_file():
    for cause in stamp.CAUSES.values():
        if '= "' in cause.remedy:
            assert re.search(r'write \w+ = "\w+" in the \[\[test\]\] of each \w+ in bench.toml', cause.remedy), cause


@pytest.mark.slow
def test_sound_readings_carry_no_stamp():
    sound(fitted("olive-stone-paste"))


def sound(result):
    """Hold everything that a reader sees of a fit that passes."""
    assert result.stamp == "" and result.suspect_rows == ()
    assert result.verdict == f"All {len(result.checks)} checks passed."
    assert repr(result).endswith(result.verdict)
    assert "role='alert'" not in result._repr_html_()


def test_cautions_ask_to_be_read_and_do_not_forbid():
    caution = of("ok", "no theory taken as exact", "use range covered")
    assert stamp.stamp(caution) == (
        "2 of 3 checks failed: read them before use. Likeliest cause: the law will be used at rates that were not read. "
        "Read at those rates too."
    )
    assert stamp.stamp(of("ok", "no theory taken as exact")).startswith("1 of 2 checks failed: read it before use. ")
    assert stamp.stamp(of("ok", "no theory taken as exact", "readings follow the law at all rates")).startswith(
        "2 of 3 checks failed: not to be used. Likeliest cause: the law bends otherwise than the readings. "
    )


@pytest.mark.parametrize(("read", "word"), [(curve(), "read it before use"), (curve(4), "not to be used")])
def test_strips_pictures_and_materials_say_the_word_of_the_stamp(read, word):
    result = rk.fit(rk.PowerLaw, read, use_range=(0.01, 100.0) if word != "not to be used" else None)
    said = in_short(result.stamp)
    assert said.endswith(word)
    assert fit_words.trust(result) == (f"{said}.", STOPPED)
    assert nozzle_words.trust(result, [], ()) == (said, STOPPED)
    assert charts.subtitle_of(result)[0] == result.stamp
    assert rk.Material.of(result).origin("law").endswith(said)


def test_readings_that_scatter_less_than_stated_are_a_caution():
    quiet = Check("scatter about the law as expected", 0.1, "0.4 to 2.1", False, "")
    loud, unknown = quiet._replace(value=9.0), quiet._replace(value=0.3, threshold=0.25)
    assert "read it before use" in stamp.stamp(of(quiet))
    for found in (loud, unknown):
        assert "not to be used" in stamp.stamp(of(found))


def test_a_question_nobody_has_placed_is_grave_and_comes_before_the_consequences():
    found = of(
        "readings follow the law at all rates", "something new", "first setting repeats", "no theory taken as exact"
    )
    assert list(stamp.failed(found).question) == [
        "first setting repeats",
        "something new",
        "readings follow the law at all rates",
        "no theory taken as exact",
    ]
    assert stamp.stamp(of("something new")).startswith("1 of 1 checks failed: not to be used. ")


def test_every_question_that_a_fit_asks_has_its_place_among_the_causes():
    """Read from the source: a new check must be given its cause, its remedy and its gravity."""
    never_fails = {"readings in their windows"}
    asked = set()
    for path in [*(ROOT / "rheokit/fitting").glob("*.py"), *(ROOT / "rheokit/bench").glob("*.py")]:
        text = path.read_text(encoding="utf-8")
        asked |= set(re.findall(r'Check\(\s*"([^"]+)"', text))
    asked |= {
        "readings follow the law at all rates",
        "readings do not drift in the order of reading",
        FRICTION_KNOWN,
        FRICTION_OPEN,
    }
    assert len(asked) > 20
    assert asked - never_fails <= set(stamp.CAUSES)
    assert set(stamp.CAUSES) <= asked
    for cause in stamp.CAUSES.values():
        assert cause.words and cause.remedy.endswith(".") and not cause.words.endswith(".")


def test_a_number_that_is_not_to_be_used_says_so_and_a_caution_does_not_stand_on_it():
    stray, sound = (rk.fit(rk.PowerLaw, curve(*rows)) for rows in ((4,), ()))
    found = stray.interval(lambda law: law.shear_stress(10.0))
    assert found.comment.startswith(f"{stray.stamp} asks for 10 1/s; ")
    assert sound.interval(lambda law: law.shear_stress(10.0)).comment.startswith("asks for 10 1/s; ")
    assert stamp.forbids(stray) and not stamp.forbids(sound)
    assert not stamp.forbids(of("ok", "no theory taken as exact"))


FRICTION = "friction known well enough"


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([Check(FRICTION, 0.2, 1 / 3, True, "")], "All 1 checks passed."),
        (
            [Check(FRICTION, 0.48, 1 / 3, True, "known well"), Check("runs repeat", 0.1, 0.2, True, "")],
            f"All 2 checks passed, 1 of them although beyond its limit: {FRICTION}.",
        ),
        (
            [Check(FRICTION, 0.48, 1 / 3, True, "known well"), Check(FRICTION, 0.43, 1 / 3, True, "known well")],
            f"All 2 checks passed, 2 of them although beyond their limits: {FRICTION} (2 times).",
        ),
        (  # what was seen and is small says so itself
            [Check("runs repeat", 0.3, 0.2, True, "", seen=True)],
            "All 1 checks passed. Seen, more than chance, but too small to fail: runs repeat.",
        ),
    ],
)
def test_what_passed_beyond_its_limit_is_counted_where_all_passed(rows, said):
    assert stamp.verdict(of(*rows)) == said


def test_what_passed_beyond_its_limit_is_told_beside_what_failed():
    told = stamp.verdict(
        of(Check(FRICTION, 0.48, 1 / 3, True, "known well"), Check("runs repeat", 0.3, 0.2, False, ""))
    )
    assert told.endswith(f"Failed: runs repeat. Passed, although beyond the limit: {FRICTION}.")
