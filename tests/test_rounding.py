"""Rounding that was stated alone: how far readings scatter besides is found from them, said, and kept in a folder.

Kind       exact, by hand beside each; coverage by counting invented benches of known truth.
"""

from dataclasses import replace

import numpy as np
import pytest
from kitchen import kitchen

import rheokit as rk
from rheokit.bench.record import BESIDE_ROUNDING
from rheokit.fitting.misfits import misfit
from rheokit.fitting.rounding import Rounded
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files
from rheokit.reading.writer import bench_files

CURVE = '[[test]]\nkind = "flow curve"\nfile = "t.csv"\nmodel_error = 0.05\nmodel_error_reason = "as set"\nuncertainty = {stated}\n'
ROWS = "shear rate [1/s], shear stress [Pa]\n" + "\n".join(
    f"{1 + k}, {s}" for k, s in enumerate((20, 30, 40, 50, 60, 70))
)


def curve(stated):
    files = {"bench.toml": CURVE.replace("{stated}", stated).encode(), "t.csv": ROWS.encode()}
    return read_files(Memory(files))


def liquid(seed, scatter, step=4.0, count=200):
    """Return the curve of a liquid of 10 Pa s whose stresses scatter and are rounded."""
    rates = np.linspace(5.0, 50.0, count)
    stress = 10 * rates * np.exp(scatter * np.random.default_rng(seed).standard_normal(count))
    stated = {"uncertainty": step / np.sqrt(12), "error": BESIDE_ROUNDING}
    return rk.FlowCurve(shear_rate=rates, shear_stress=np.round(stress / step) * step, **stated)


@pytest.mark.parametrize(
    ("stated", "alone"),
    [
        ('"to 1 Pa"', True),
        ('["to 1 Pa", "3 %"]', False),
        ('"1 Pa"', False),
    ],
)
def test_rounding_stands_alone_where_nothing_of_the_reading_is_stated_beside(stated, alone):
    (test,) = curve(stated).tests
    assert test.rounding_alone is alone
    assert test.error_is_known


def test_rounding_of_a_mass_stands_alone_beside_the_hand_on_a_watch():
    assert kitchen(0).bench.tests[0].rounding_alone
    assert not kitchen(0, stated=("to 1 g", "0,2 s", "4 %")).bench.tests[0].rounding_alone


def test_the_scatter_is_what_makes_the_residuals_as_large_as_they_should_be():
    """Two readings of 10, 1 and 3 off (squares 1 and 9), rounding 1 (square), 2 of freedom: 10/(1 + 100 s²) = 2, s = 0.2.

    Half of freedom is not enough to tell; off by 1 and 0.5 rounding alone explains. Half of the error known, (1/0.8)² of freedom: 3.125.
    """
    rows, ones = np.arange(2), np.ones(2)
    found = Rounded([0], rows, 2.0, np.array([1.0, 9.0]), ones, 100 * ones)
    assert found.scatter() == pytest.approx(0.2, rel=1e-9)
    assert found._replace(freedom=0.5).scatter() == 0.0
    assert found._replace(squares=np.array([1.0, 0.25])).scatter() == 0.0
    group = found.group(0.2)
    assert (group.squares, group.freedom, group.inside) == (
        pytest.approx(2.0),
        pytest.approx(3.125),
        (0.0, pytest.approx(1.125)),
    )


def test_a_scatter_of_5_percent_is_found_beside_rounding_and_said():
    """200 readings tell it to 1/√400 of it: 5 %."""
    fit = rk.fit(rk.Newtonian, liquid(1, 0.05))
    assert fit.tests[0].relative_uncertainty == pytest.approx(0.05, rel=0.15)
    row, *_ = misfit(fit)
    assert row.passed
    assert (
        "Of flow curve it was stated to what a value was rounded, which says nothing of how readings scatter; the residuals show another"
        in row.comment
    )
    assert "State it beside if it is known." in row.comment
    plain = rk.fit(rk.Newtonian, replace(liquid(1, 0.05), error="relative"))  # rounding as if it were all
    width = [one.table.high["viscosity"] - one.table.low["viscosity"] for one in (fit, plain)]
    assert width[0] > 3 * width[1]


def test_all_tests_are_named_whose_scatter_was_found():
    """Of one kind, whose scatter is one; of another kind, whose scatter is another; and where nothing was stated."""
    pair = [replace(liquid(seed, 0.05), label=f"run {seed}") for seed in (1, 2)]
    row, *_ = misfit(rk.fit(rk.Newtonian, *pair))
    assert row.comment.startswith("Of flow curve 'run 1' and flow curve 'run 2' it was stated to what a value")
    bare_of = {"uncertainty": None, "error": "relative"}
    bare = [replace(one, **bare_of) for one in pair]
    row, *_ = misfit(rk.fit(rk.Newtonian, *bare))
    assert row.comment.startswith(
        "No uncertainty was stated for flow curve 'run 1' and flow curve 'run 2'; the residuals"
    )
    row, *_ = misfit(rk.fit(rk.Newtonian, pair[0], bare[1]))
    assert "Of flow curve 'run 1' it was" in row.comment
    assert "No uncertainty was stated for flow curve 'run 2';" in row.comment
    many = [replace(liquid(seed, 0.05, count=20), label=f"run {seed}", **bare_of) for seed in range(14)]
    row, *_ = misfit(rk.fit(rk.Newtonian, *many))
    assert "flow curve 'run 11' and 2 more; the residuals" in row.comment


def test_no_scatter_is_found_where_there_is_none():
    fit = rk.fit(rk.Newtonian, liquid(2, 0.0))
    assert (fit.tests[0].relative_uncertainty or 0.0) < 0.005


def test_many_readings_that_are_gathered_scatter_as_much():
    fit = rk.fit(rk.Newtonian, liquid(3, 0.05, count=3000))
    assert len(fit.tests[0].readings) < 3000
    assert fit.tests[0].relative_uncertainty == pytest.approx(0.05, rel=0.05)


def test_it_needs_the_uncertainty_of_rounding():
    with pytest.raises(rk.DataError, match="error = 'beside rounding' needs the uncertainty that rounding makes"):
        rk.FlowCurve(shear_rate=[1.0, 2.0], shear_stress=[3.0, 4.0], error=BESIDE_ROUNDING)


def test_a_folder_keeps_it_and_may_say_that_rounding_is_all():
    found = curve('"to 1 Pa"')
    (test,) = found.tests
    again = read_files(Memory(bench_files(rk.Bench(found.specimen, [test.where(test.shear_rate > 2)], found.origin))))
    assert again.tests[0].rounding_alone
    for changed in (replace(test, error="relative"), replace(test, uncertainty=np.linspace(1, 2, 6))):
        (got,) = read_files(Memory(bench_files(rk.Bench(found.specimen, [changed], found.origin)))).tests
        assert (got.error, got.rounding_alone) == (changed.error, changed.rounding_alone)
        np.testing.assert_allclose(got.uncertainty, changed.uncertainty, rtol=1e-12)
    assert not curve('"to 1 Pa"\nerror = "relative"').tests[0].rounding_alone


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::rheokit.errors.RheokitWarning")
def test_limits_hold_the_truth_where_flows_scatter_besides():
    """24 kitchens whose flows scatter by 4 %, of which "to 1 g" and "0.2 s" say nothing, and catch five times as much as usual.

    Where 95 % are held, fewer than 20 of 24 are so in 0.6 % of such counts (binomial). With rounding as if it were all, n was held in fewer.
    """
    held = 0
    for seed in range(24):
        made = kitchen(seed, scatter=0.04, waits=5.0)
        row = rk.fit(rk.HerschelBulkley, made.bench).table.loc["flow_index"]
        held += bool(not row.low > made.law.flow_index and not row.high < made.law.flow_index)
    assert held >= 20, held
