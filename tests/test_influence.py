"""What the answers become where a reading, or a test, is left out: against fits without it, and against a straight line by hand."""

import numpy as np
import pytest

import rheokit as rk

RATES = np.array([1.0, 3.0, 10.0, 30.0, 100.0, 150.0])
OFF = np.array([0.011, -0.018, 0.006, 0.021, -0.014, 0.009])


def curve(keep=slice(None), off=OFF, **more):
    stress = (700 + 180 * RATES**0.4) * (1 + off)
    return rk.FlowCurve(shear_rate=RATES[keep], shear_stress=stress[keep], relative_uncertainty=0.02, **more)


def slump(heights=(480.0, 510.0)):
    return rk.FlowCurve(shear_rate=[2.0, 20.0], shear_stress=[955.0, 1270.0], relative_uncertainty=0.03)


BENCHES = {
    "one curve": lambda keep: [curve(keep)],
    "two curves": lambda keep: [curve(keep, off=-OFF[::-1]), slump()],
}


@pytest.mark.parametrize("bench", BENCHES)
def test_a_reading_left_out_is_a_fit_without_it(bench):
    tests = BENCHES[bench](slice(None))
    found = rk.influence(rk.fit(rk.HerschelBulkley, *tests))
    table = found.readings[found.readings.test == tests[0].name]
    moved = found.changes(table)
    line = int(np.argmax(abs(moved).max(axis=1)))
    place = list(tests[0].row_numbers).index(table.iloc[line]["row"])
    keep = np.arange(len(RATES)) != place
    without = rk.fit(rk.HerschelBulkley, *BENCHES[bench](keep)).law
    answer = int(np.argmax(abs(moved[line])))
    rates = [None, 1.0, 10.0, 100.0]
    true = without.yield_stress if answer == 0 else without.shear_stress(rates[answer])
    told = table.iloc[line][found.answers[answer]]
    assert told - found.values[answer] == pytest.approx(true - found.values[answer], rel=0.1)


def test_a_straight_line_by_its_hat_matrix():
    """Deletion in a linear regression, b - (X'X)^-1 x e/(1 - h) (Cook, Technometrics 19 (1977) 15; formula as textbooks give it, from memory)."""
    x, u = np.array([1.0, 2.0, 4.0, 7.0, 10.0]), 5.0
    y = 100 + 20 * x + np.array([3.0, -4.0, 2.0, -3.0, 2.5])
    fit = rk.fit(rk.Bingham, rk.FlowCurve(shear_rate=x, shear_stress=y, uncertainty=u))
    found = rk.influence(fit)
    design = np.column_stack([np.ones(5), x]) / u
    inverse = np.linalg.inv(design.T @ design)
    best = inverse @ design.T @ (y / u)
    rest, share = y / u - design @ best, np.einsum("ij,jk,ik->i", design, inverse, design)
    for row in found.readings.itertuples(index=False):
        at = list(fit.tests[0].row_numbers).index(row.row)
        without = best - inverse @ design[at] * rest[at] / (1 - share[at])
        assert row[3] == pytest.approx(without[0], rel=1e-4)
        assert row.cook_distance == pytest.approx(rest[at] ** 2 * share[at] / (2 * (1 - share[at]) ** 2), rel=1e-3)
    assert found.uncertainties[0] == pytest.approx(np.sqrt(inverse[0, 0]), rel=1e-4)


def test_a_test_left_out_is_a_fit_of_the_others():
    tests = [curve(), slump()]
    found = rk.influence(rk.fit(rk.HerschelBulkley, *tests))
    without = rk.fit(rk.HerschelBulkley, tests[0]).law
    at = list(found.answers).index("shear stress at 10 1/s")
    change = found.tests.iloc[1][found.answers[at]] - found.values[at]
    assert change == pytest.approx(without.shear_stress(10.0) - found.values[at], rel=0.1)


def test_what_decides_and_what_is_not_known_is_said():
    calm = rk.influence(rk.fit(rk.HerschelBulkley, curve(off=OFF / 20)))
    assert calm.sentences[0].startswith("No one reading decides") and "there is one test" in calm.sentences[1]
    wild = rk.influence(rk.fit(rk.HerschelBulkley, curve(off=np.array([0, 0, 0, 0.0, 0, 0.08]))))
    assert wild.sentences[0].startswith("One reading decides")
    three = rk.influence(rk.fit(rk.HerschelBulkley, curve(slice(0, 6, 2))))
    assert three.missing or "Not known without" in three.sentences[0]
    sunk = rk.FlowCurve(shear_rate=RATES, shear_stress=20 * RATES**0.8 - 9, relative_uncertainty=0.02)
    with pytest.warns(rk.errors.AtBoundWarning):
        flat = rk.fit(rk.HerschelBulkley, sunk)
    assert "is not known: yield stress at a bound" in rk.influence(flat).sentences[0]


def test_where_runs_move_together_a_whole_test_is_left_out_all_the_same():
    """Kind: independent. Each record with two runs; without one test the fit of the other, as far as one step tells."""
    tests = []
    for k, shift in enumerate((0.01, -0.01)):
        rates = np.tile(RATES, 2)
        noise = np.concatenate([OFF, -OFF]) + np.repeat([0.05, -0.05], len(RATES)) + shift
        tests.append(
            rk.FlowCurve(shear_rate=rates, shear_stress=(700 + 180 * rates**0.4) * (1 + noise), relative_uncertainty=0.02,
                         run=np.repeat([1, 2], len(RATES)), label=f"curve {k}")
        )  # fmt: skip
    whole = rk.fit(rk.HerschelBulkley, *tests)
    assert whole.problem.runs and whole.problem.run_spread
    found = rk.influence(whole)
    assert not found.missing and not len(found.readings) and len(found.tests) == 2
    assert "runs of one record move together" in found.sentences[0] and "test" in found.sentences[1]
    name = "shear stress at 10 1/s"
    for test, without in zip(tests[::-1], found.tests[name], strict=True):
        assert without == pytest.approx(float(rk.fit(rk.HerschelBulkley, test).law.shear_stress(10.0)), rel=0.01)
