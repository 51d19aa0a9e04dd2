"""What an appendix of two tests of the yield stress and no plan says of itself: counts, draws and what is lacking agree with each other."""

import numpy as np
import pytest
from test_appendix_sections import poor

import rheokit as rk
from rheokit.appendix.sections import environment, model, next_reading, part
from rheokit.appendix.study import Study

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def study(tmp_path_factory):
    return Study(rk.Workbook.open(poor(tmp_path_factory.mktemp("poor") / "mine")))


def test_draws_of_what_was_not_computed_are_not_listed(study):
    names = " ".join(str(row[0]) for row in environment._draws(study).rows)
    assert "law and apparatus, all parameters jointly" in names
    for word in ("windows", "map", "hard limits"):
        assert word not in names


def test_a_wall_lacks_the_same_wherever_it_is_asked(study):
    (asked,) = [text for block in next_reading.section(study).blocks for text in getattr(block, "texts", ()) if text.startswith("wall height: ")]  # fmt: skip
    (told,) = [one for one in part.section(study).blocks[0].texts if one.startswith("How high it stands: not known. ")]
    assert asked.removeprefix("wall height: ") == told.removeprefix("How high it stands: not known. ")
    assert "extruder" not in asked


def test_the_sum_of_squares_and_the_parameters_say_of_what_they_are(study):
    told, fit = model._freedom(study.fit), study.fit
    squares = fit.minimum.residuals**2
    read = float(np.sum(squares[: fit.problem.total]))
    assert (
        f"({rk.nomenclature.number(read)} of the readings, {rk.nomenclature.number(float(squares.sum()) - read)} of what is known beforehand)"
        in told
    )
    assert "2 of which the readings do not fix (consistency and flow index)" in told


def test_apparatus_as_described_names_what_is_farthest_off_and_how_that_is_counted(study):
    (row,) = [one for one in study.fit.checks.itertuples() if one.question == "apparatus as described"]
    assert "Nothing known of the apparatus is contradicted. Farthest off is wall friction[" in row.comment
    assert "Counted is how far the fit moves it over how far it would where nothing is wrong" in row.comment
