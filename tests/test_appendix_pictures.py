"""What the captions of an appendix promise of its pictures, and how a reading becomes a stress there."""

import numpy as np
import pytest
from test_appendix_words import study

import rheokit as rk
from rheokit import charts
from rheokit.appendix.document import Equation, Figure
from rheokit.appendix.sections import forces, region, validity
from rheokit.bench.force_run import ForceRun
from rheokit.fitting.curve_errors import curve_errors


def drawn(chart, field):
    """Return the rows of the layer of a chart that has a field."""
    spec = chart.to_dict()
    for layer in spec["layer"]:
        rows = spec["datasets"][layer.get("data", spec.get("data"))["name"]]
        if rows and field in rows[0]:
            return rows
    return []


def test_bars_of_a_flow_curve_are_one_standard_uncertainty_of_each_reading_either_way():
    """By hand: 2 % of 100, 150, 210 and 300 Pa."""
    read = np.array([100.0, 150.0, 210.0, 300.0])
    curve = rk.FlowCurve(shear_rate=[1.0, 3.0, 10.0, 30.0], shear_stress=read, relative_uncertainty=0.02)
    fit = rk.fit(rk.PowerLaw, curve)
    ((rate, stress),) = curve_errors(fit)
    assert not rate.any()
    assert stress == pytest.approx([2.0, 3.0, 4.2, 6.0])
    bars = drawn(charts.flow_curve(fit, checked=False), "stress_to")
    assert [bar["stress_to"] - bar["shear_stress"] for bar in bars] == pytest.approx([4.0, 6.0, 8.4, 12.0])
    (foot,) = drawn(charts.flow_curve(fit, checked=False), "fastest_read")
    assert (foot["shear_rate"], foot["fastest_read"]) == (1.0, 30.0)


@pytest.mark.slow
def test_the_stress_of_a_force_is_that_of_the_equation_beside_the_flow_curve():
    """By hand from the equation: a force dF moves the stress of its point by dF/A_0 · D/(4 L), D the bore as fitted, and its rate not at all."""
    fit = study().fit
    for test, (rate, stress) in zip(fit.tests, curve_errors(fit), strict=True):
        if not isinstance(test, ForceRun):
            continue
        land = test.channel(fit.nuisance).land
        sizes = fit.residuals.uncertainty[fit.residuals.name == test.name].to_numpy()
        area = np.pi * test.extruder.barrel_diameter**2 / 4
        assert stress == pytest.approx(sizes / area * land.diameter / (4 * land.length), rel=1e-6)
        assert rate == pytest.approx(0.0, abs=1e-6)
    blocks = validity.section(study()).blocks
    (equation,) = [one for one in blocks if isinstance(one, Equation)]
    assert equation.text == "τ = (p - p_up) D/(4 L), p = (F - F_f)/A_0"
    assert "by the fitted law" in equation.spoken


@pytest.mark.slow
def test_captions_name_what_is_drawn():
    (curve,) = [one for one in validity.section(study()).blocks if isinstance(one, Figure)]
    for promise in ("bars: one standard uncertainty of the reading either way, ", "in grey its 95 % band", "the thick bar at the foot spans the rates read", "dashed where it is extrapolated"):  # fmt: skip
        assert promise in curve.caption
    force, pressure = [one for one in forces.section(study()).blocks if isinstance(one, Figure)]
    assert "The line is dashed and the ground hatched where no reading covers" in force.caption
    assert "Below zero: the section of barrel and nozzle" in pressure.caption


@pytest.mark.slow
def test_a_window_that_is_not_known_says_what_the_limits_judged_leave_as_the_map_draws_it(monkeypatch):
    """A window is refused as where a limit that was not judged would end it: what the others leave stands beside the refusal."""
    asked = study()
    real, whole = region.window, {}

    def refuses(*given, **more):
        if more.get("limits") is None:
            raise rk.DataError(
                "window: Bore at the tip D: not known, since what would end its window could not be judged: clog."
            )
        whole[given[3]] = real(*given, **more)
        return whole[given[3]]

    monkeypatch.setattr(region, "window", refuses)
    rows = {row[0]: row for row in region.section(asked).blocks[0].rows}
    row = rows[region.AXES["bore"].label]
    assert row[1] == "-"
    assert "could not be judged: clog. By the limits judged alone, as the map has it: " in row[-1]
    assert whole["bore"].words.split(";")[0] in row[-1]
    (figure,) = [one for one in region.section(asked).blocks if isinstance(one, Figure)]
    lacking = [name for name, why in rk.region_map(asked.material, asked.extruder, asked.job, axes={"bore": [1e-3, 2e-3], "print_speed": [0.01, 0.02]}).not_judged.items() if why != region.NOT_ASKED]  # fmt: skip
    assert lacking
    assert f"Not judged, and so without a line: {rk.nomenclature.and_(lacking)}." in figure.caption
