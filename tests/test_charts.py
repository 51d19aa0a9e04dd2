"""Charts: valid by altair's own schema, titled by the nomenclature, honest about what is invented or extrapolated.

Kind: exact. What a chart draws is held against the objects it was made from.
"""

import json
import os
import re
import subprocess
import sys
import warnings
from xml.etree import ElementTree

import altair as alt
import numpy as np
import pandas as pd
import pytest
import vl_convert

import rheokit as rk
from rheokit import charts
from rheokit.charts.as_svg import static_of
from rheokit.charts.flow_curves import DASHES
from rheokit.charts.labels import sides_of
from rheokit.charts.looks import PAGES, PLAIN, SHAPES, TEXT, axis, axis_title, sheet_of, ticks
from rheokit.charts.misfits import TWO_LINES
from rheokit.charts.suspects import CROWD, labels, rings
from rheokit.fitting import text as in_text
from rheokit.fitting.yields import yield_bounds, yield_readings
from rheokit.nomenclature import QUANTITIES, number, numbers, with_limits, written
from rheokit.units import mm

RATES = np.array([5.0, 10.0, 20.0, 50.0, 100.0, 200.0])
NOISE = np.array([1.01, 0.98, 1.02, 0.99, 1.0, 1.01])


def bench(invented=True, extra=()):
    stress = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38).shear_stress(RATES)
    curve = rk.FlowCurve(
        shear_rate=RATES, shear_stress=stress * NOISE, relative_uncertainty=0.02, run_order=[1, 2, 3, 4, 5, 6]
    )
    cone = rk.FallCone(
        mass=0.06, apex_angle=np.pi / 3, penetration=[0.0140, 0.0142], relative_uncertainty=0.03, model_error=0.3
    )
    slump = rk.CylinderSlump(height=0.1, diameter=0.1, density=1110, slump=0.0, uncertainty=1e-3, model_error=0.25)
    return rk.Bench(rk.Specimen(paste="olive <b>paste</b>", invented=invented), [curve, cone, slump, *extra])


def fitted(law=rk.HerschelBulkley, **more):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.RheokitWarning)
        return rk.fit(law, bench(), **more)


@pytest.fixture(scope="module")
def fit():
    return fitted(use_range=(5.0, 150.0))


@pytest.fixture(scope="module")
def budget(fit):
    nozzle = rk.Nozzle(
        rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm),
        rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
    )
    extruder = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, plunger_friction=8.0, nozzle=nozzle)
    return extruder.budget(fit.law, 23 * mm**3)


DRAWINGS = {
    "flow curve": lambda fit, budget, **look: charts.flow_curve(fit, **look),
    "flow curve, no band": lambda fit, budget, **look: charts.flow_curve(fit, band=False, **look),
    "two laws": lambda fit, budget, **look: charts.flow_curve(fit, fitted(rk.PowerLaw), **look),
    "yield stresses": lambda fit, budget, **look: charts.yield_stresses(fit, **look),
    "along rate": lambda fit, budget, **look: charts.residuals(fit, charts.RATE, **look),
    "along order": lambda fit, budget, **look: charts.residuals(fit, charts.RUN_ORDER, **look),
    "against predicted": lambda fit, budget, **look: charts.read_against_predicted(fit, **look),
    "budget": lambda fit, budget, **look: charts.pressure_budget(budget, **look),
}


def layers(spec):
    return spec.get("layer", [spec])


def rows(chart, mark, n=0):
    """Return the data of the n-th layer of a kind of mark."""
    spec = chart.to_dict()
    found = [layer for layer in layers(spec) if layer["mark"]["type"] == mark]
    return spec["datasets"][found[n].get("data", spec.get("data"))["name"]]


@pytest.mark.slow
@pytest.mark.parametrize("width", [330, 1100])
@pytest.mark.parametrize("page", list(PAGES))
@pytest.mark.parametrize("drawing", list(DRAWINGS))
def test_every_chart_is_valid_on_every_page(drawing, page, width, fit, budget):
    spec = DRAWINGS[drawing](fit, budget, page=page, width=width).to_dict()
    assert spec["background"] == PAGES[page].background
    assert spec["config"]["axis"]["labelFontSize"] == spec["config"]["axis"]["titleFontSize"] == TEXT >= 14
    assert spec["width"] == width
    assert len(spec["description"]) > 40


@pytest.mark.slow
def test_axis_titles_are_those_of_the_nomenclature(fit, budget):
    titles = {
        layer["encoding"][a]["title"]
        for layer in layers(charts.flow_curve(fit).to_dict())
        for a in "xy"
        if "title" in layer["encoding"].get(a, {})
    }
    assert titles == {"shear rate γ̇ [1/s]", "shear stress τ [Pa]"}
    assert axis_title("pressure_drop", "kPa") == f"pressure drop {QUANTITIES['pressure_drop'].symbol} [kPa]"
    assert axis_title("run_order") == "run order # [-]"


def test_the_flow_curve_draws_the_readings_that_have_a_rate(fit):
    drawn = rows(charts.flow_curve(fit), "point")
    assert sorted(row["shear_rate"] for row in drawn) == list(RATES)
    assert [row["shear_stress"] for row in drawn] == pytest.approx(list(fit.tests[0].shear_stress))


def test_yield_stresses_have_a_picture_without_a_rate(fit):
    """By hand, the cone: stress goes as 1/depth^2, so its limits are a factor of exp(1.96 sqrt(4 r^2 + m^2))."""
    chart = charts.yield_stresses(fit)
    read = rows(chart, "point")
    cone = fit.tests[1]
    assert [row["stress"] for row in read] == pytest.approx(list(cone.yield_stresses()))
    assert all(row["state"] == "static" and row["solid"] is False for row in read)
    error = np.exp(1.959964 * np.sqrt((2 * cone.relative_uncertainty) ** 2 + cone.model_error**2))
    assert [row["high"] / row["stress"] for row in read] == pytest.approx([error] * len(read), rel=1e-3)
    law, ratio = float(fit.law.yield_stress), fit.nuisance[rk.bench.base.Shared("static_ratio")]
    drawn = [rows(chart, "rule", n)[0]["stress"] for n in range(2)]
    assert drawn == pytest.approx([law, law * ratio])
    known = with_limits(law, *fit.table.loc["yield_stress", ["low", "high"]], "Pa")
    times, low, high = numbers(ratio, *fit.limits(rk.bench.base.Shared("static_ratio")))
    dotted = f"Dotted: where flow starts, {times} times that (95 % {low} to {high})"
    assert f"Line: yield stress of the law, {known}. {dotted}." in chart.description
    assert (
        f"Dotted: where flow starts, {number(ratio)} times that." in charts.yield_stresses(fit, band=False).description
    )
    alone = rk.fit(rk.PowerLaw, rk.FlowCurve(shear_rate=[1.0, 10.0, 90.0], shear_stress=[100.0, 200.0, 390.0]))
    with pytest.raises(rk.DataError, match="no test of this fit reads a yield stress; a loaded plate or a slump does"):
        charts.yield_stresses(alone)


SLUMP = {"height": 0.1, "diameter": 0.1, "density": 1150.0}
RUN = rk.FlowCurve(shear_rate=[1.0, 10.0, 90.0], shear_stress=[900.0, 1200.0, 1800.0], relative_uncertainty=0.05)


@pytest.mark.parametrize(
    ("test", "side", "stress", "state"),
    [
        (rk.CylinderSlump(slump=[0.002], censored=[-1], uncertainty=1e-3, **SLUMP), 1, 525.5, "static"),
        (rk.CylinderSlump(slump=[0.09], uncertainty=1e-3, **SLUMP), -1, 32.61, "dynamic"),
        (rk.LoadedPlate(volume=5e-6, force=9.81, radius=[0.02], censored=[1], relative_uncertainty=0.02), -1, 1657.0, "dynamic"),
    ],
    ids=["no slump", "a pancake", "wider than the plate"],
)  # fmt: skip
def test_a_reading_that_is_a_bound_is_drawn_as_one(test, side, stress, state):
    """By hand: s/H = 1 - t(1 - ln t) with t = sqrt3 tau/(rho g H), 0.02 at t = 0.8068, 0.8 at 0.0501; 7807 Pa = tau (1.360 + 3.351)."""
    found = rk.fit(rk.HerschelBulkley, RUN, test)
    (bound,) = yield_bounds(found).itertuples()
    assert (bound.side, bound.stress, bound.state) == (side, pytest.approx(stress, rel=2e-4), state)
    assert yield_readings(found).empty
    chart = charts.yield_stresses(found)
    arrow = next(one for one in chart.layer if one.to_dict()["mark"].get("shape", "").startswith("triangle"))
    assert arrow.to_dict()["mark"]["shape"] == ("triangle-right" if side > 0 else "triangle-left")
    words = f"{test.kind} at {'least' if side > 0 else 'most'} {written(bound.stress, 'Pa')}, a bound"
    assert words in chart.description


def test_what_a_plate_reads_alone_is_no_better_known_than_its_friction():
    """By hand: stress = F/(pi R^2 [C(m) + 2/3 m pi R^3/V]); radius to 2 %, m = 0.9 ± 0.1, theory 15 %, criterion 8 %."""
    radius, volume = 0.02, 5e-6

    def stress(m, r=radius):
        c = np.sqrt(3) / 2 * (np.sqrt(1 - m**2) + np.arcsin(m) / m)
        return 9.81 / (np.pi * r**2 * (c + 2 / 3 * m * np.pi * r**3 / volume))

    plate = rk.LoadedPlate(
        volume=volume, force=9.81, radius=[radius], wall_friction=0.9, wall_friction_uncertainty=0.1, model_error=0.15, relative_uncertainty=0.02
    )  # fmt: skip
    curve = rk.FlowCurve(shear_rate=[1.0, 10.0, 90.0], shear_stress=[900.0, 1200.0, 1800.0], relative_uncertainty=0.05)
    (row,) = yield_readings(rk.fit(rk.HerschelBulkley, curve, plate)).itertuples()
    assert row.stress == pytest.approx(stress(0.9), rel=1e-9)
    by_radius = np.log(stress(0.9, radius * 1.0001) / stress(0.9)) / 1e-4 * 0.02
    by_friction = np.log(stress(0.89999) / stress(0.9)) / 1e-5 * 0.1
    spread = np.sqrt(by_radius**2 + by_friction**2 + 0.15**2 + 0.08**2)
    assert np.log(row.high / row.stress) == pytest.approx(1.959964 * spread, rel=1e-3)
    assert np.log(row.stress / row.low) == pytest.approx(1.959964 * spread, rel=1e-3)


def test_a_number_at_the_end_of_its_window_stays_one_while_its_limits_are_reckoned():
    cone = rk.FallCone(
        mass=0.08, apex_angle=np.pi / 6, penetration=[0.02, 0.0201, 0.0199, 0.006], relative_uncertainty=0.03
    )
    rates = np.geomspace(0.1, 100, 6)
    law = rk.HerschelBulkley(yield_stress=300.0, consistency=80.0, flow_index=0.45)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=law.shear_stress(rates), relative_uncertainty=0.03)
    assert len(yield_readings(rk.fit(rk.HerschelBulkley, curve, cone))) == 3


@pytest.mark.slow
def test_a_title_wider_than_its_picture_is_broken_and_a_long_name_stays_within(fit):
    narrow, wide = (charts.flow_curve(fit, width=width).to_dict() for width in (200, 600))
    assert (
        narrow["title"]["text"] == ["Flow curve:", "Herschel-Bulkley"]
        and wide["title"]["text"] == "Flow curve: Herschel-Bulkley"
    )
    assert "<title" in charts.static(charts.flow_curve(fit, width=200))
    key = layers_with_legend(narrow)[0]
    assert (key["columns"], key["labelLimit"]) == (1, 130)


def layers_with_legend(spec):
    """Return the legends of a chart."""
    found = [one.get("encoding", {}).get("shape", {}).get("legend") for one in spec["layer"]]
    return [legend for legend in found if legend]


@pytest.mark.parametrize(
    ("number", "written"),
    [
        (2e-12, "2 · 10⁻¹²"), (1e-10, "10⁻¹⁰"), (1e120, "10¹²⁰"), (5e-307, "5 · 10⁻³⁰⁷"), (1e-9, "10⁻⁹"), (3e6, "3 · 10⁶"), (20, "20"),
        (1e5, "100000"), (0.001, "0.001"), (0, "0"),
    ],
)  # fmt: skip
def test_every_number_beside_an_axis_is_one(number, written):
    """Beyond nine decades a tick read "10⁻undefined"."""
    shown = [number, -1.0] if number == 0 else [number]
    rows = alt.Chart(pd.DataFrame({"x": [*shown, 1.0]})).mark_point()
    scale = alt.Scale(domain=[-1, 1]) if number == 0 else alt.Scale(type="log", domain=sorted([number, number * 1.5]))
    drawn = rows.encode(alt.X("x:Q", scale=scale).axis(values=[number], labelExpr=PLAIN))
    svg = vl_convert.vegalite_to_svg(drawn.to_dict())
    assert f">{written}</text>" in svg


def test_names_of_marks_keep_off_each_other_the_edges_and_where_they_can_the_lines():
    line = np.column_stack([np.linspace(0, 500, 200), np.linspace(300, 0, 200)])
    plot, names = (500.0, 300.0), ["the batch now", "add 64 g water", "the recipe"]

    def placed(*places):
        return sides_of(np.array(places, float), names[: len(places)], line, plot, 15)

    assert placed((100, 240), (250, 150), (400, 60)) == ["above right"] * 3  # on the line, which falls
    assert placed((100, 100)) == ["above right"] and placed((250, 292)) == ["below left"]
    assert placed((480, 12)) == ["above left"]  # the lower right corner
    for close, least in ((3, 3), (10, 3), (25, 2), (60, 1)):
        sides = placed((200, 180), (200 + close, 180 - 0.6 * close), (200 + 2 * close, 180 - 1.2 * close))
        assert len(set(sides)) >= least, sides


def test_ticks_are_plain_numbers_and_a_few():
    assert ticks(8, 120) == [10, 20, 50, 100]
    assert ticks(0.05, 500) == [0.1, 1, 10, 100]
    assert ticks(600, 4000) == [700, 1000, 1500, 2000, 3000]


def test_numbers_beside_axes_are_never_powers_within_reach():
    """As drawn: 20 and 100000 in full, 1000000 as a power."""
    frame = pd.DataFrame({"x": [10.0, 1e6, 2.5e-5], "y": [20.0, 100.0, 60.0]})
    x = axis(alt.X, "x", "x [-]", (1e-5, 2e6), log=True, values=[2.5e-5, 1e-3, 20.0, 1e5, 1e6])
    y = axis(alt.Y, "y", "y [-]", (10, 100), tickCount=5)
    svg = charts.static(alt.layer(alt.Chart(frame).mark_point().encode(x, y)))
    said = re.findall(r"<text[^>]*>([^<]*)</text>", svg)
    assert {"2.5 · 10⁻⁵", "0.001", "20", "100000", "10⁶", "40", "100"} <= set(said)
    assert not any("e+" in word or "e-" in word for word in said)


@pytest.mark.slow
def test_a_static_picture_says_what_it_shows_and_stands_on_a_light_page(fit):
    light, dark = (charts.static(charts.flow_curve(fit, page=page)) for page in PAGES)
    root = ElementTree.fromstring(dark)
    space = "{http://www.w3.org/2000/svg}"
    assert root.get("role") == "img" and root[0].tag == f"{space}title" and root[1].tag == f"{space}desc"
    assert root[0].text == "Flow curve: Herschel-Bulkley" and "olive" in dark and root[1].text.startswith("Flow curve")
    assert (root.get("aria-labelledby"), root.get("aria-describedby")) == (root[0].get("id"), root[1].get("id"))
    assert dark == light and PAGES["dark"].background not in dark
    assert not re.search(r'(href|src)="(?!data:)', dark) and "<script" not in dark


@pytest.mark.slow
def test_the_line_is_the_law_and_dashed_where_the_readings_do_not_cover_it(fit):
    chart = charts.flow_curve(fit)
    solid, dashed = rows(chart, "line", 0), rows(chart, "line", 1)
    for row in [*solid, *dashed]:
        assert row["shear_stress"] == pytest.approx(float(fit.law.shear_stress(row["shear_rate"])))
    low, high = fit.rate_range
    assert min(r["shear_rate"] for r in solid) == pytest.approx(low, rel=0.03)
    assert max(r["shear_rate"] for r in solid) == pytest.approx(high, rel=0.03)
    assert min(r["shear_rate"] for r in dashed) < low / 5
    assert max(r["shear_rate"] for r in dashed) > high * 4
    assert [rows(chart, "text", n)[0]["word"] for n in (1, 2)] == ["extrapolated", "extrapolated"]


def test_the_band_holds_the_line_and_widens_where_nothing_was_read(fit):
    band = rows(charts.flow_curve(fit), "area")
    assert all(row["low"] < row["shear_stress"] < row["high"] for row in band)
    spread = {row["shear_rate"]: row["high"] / row["low"] for row in band}
    assert spread[min(spread)] > min(spread.values())


def test_readings_that_carry_no_band_leave_it_out():
    one = rk.fit(rk.PowerLaw, rk.FlowCurve(shear_rate=[1.0, 10.0], shear_stress=[100.0, 200.0]))
    spec = charts.flow_curve(one).to_dict()
    assert "area" not in {layer["mark"]["type"] for layer in layers(spec)}


@pytest.mark.slow
def test_use_range_is_shaded_and_labelled(fit):
    chart = charts.flow_curve(fit)
    assert rows(chart, "rect") == [{"shear_rate": 5.0, "fast": 150.0, "word": "range of use"}]


def test_residuals_are_those_of_the_fit(fit):
    drawn = rows(charts.residuals(fit, charts.RATE), "point")
    assert [row["residual"] for row in drawn] == pytest.approx(list(fit.residuals.residual[:6]))
    order = rows(charts.residuals(fit, charts.RUN_ORDER), "point")
    assert [row["run_order"] for row in order] == [1, 2, 3, 4, 5, 6]
    lines = rows(charts.residuals(fit), "rule")
    assert [row["residual"] for row in lines] == [-2.0, 0.0, 2.0]


def test_read_against_predicted_is_their_ratio(fit):
    drawn = rows(charts.read_against_predicted(fit), "point")
    expected = (fit.residuals.reading / fit.residuals.predicted)[fit.residuals.bound == 0]
    assert [row["ratio"] for row in drawn] == pytest.approx(list(expected))


def test_budget_bars_sum_to_the_pressure(budget):
    drawn = rows(charts.pressure_budget(budget), "bar")
    assert sum(row["pressure"] for row in drawn) * 1e3 == pytest.approx(budget.pressure_drop.sum())


@pytest.mark.slow
def test_invented_benches_say_so():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.RheokitWarning)
        real = rk.fit(rk.Bingham, bench(invented=False))
    assert (
        "INVENTED readings, for demonstration" in charts.flow_curve(fitted(rk.Bingham)).to_dict()["title"]["subtitle"]
    )
    assert not any("INVENTED" in line for line in charts.flow_curve(real).to_dict()["title"]["subtitle"])


def layers_with(spec, field):
    """Return the layers of a chart that draw a field as text."""
    return [one for one in spec["layer"] if one.get("encoding", {}).get("text", {}).get("field") == field]


@pytest.mark.slow
def test_failed_checks_stamp_every_picture_of_the_fit_and_ring_the_suspect_rows():
    """A picture that is saved alone says that it is not to be used; the rows are marked by a ring and words, not by colour."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.RheokitWarning)
        rates, row = np.geomspace(1, 100, 12), np.arange(12)  # invented, the fifth of twelve readings far off
        stress = 50 * rates**0.7 * np.exp(0.02 * np.sin(2.4 * row)) * np.where(row == 4, 1.4, 1.0)
        spoilt = rk.fit(rk.PowerLaw, rk.FlowCurve(shear_rate=rates, shear_stress=stress, relative_uncertainty=0.02))
    failed = int((~spoilt.checks.passed).sum())
    for chart in (charts.flow_curve(spoilt), charts.residuals(spoilt), charts.read_against_predicted(spoilt)):
        spec = chart.to_dict()
        said = " ".join(spec["title"]["subtitle"])
        assert said.startswith(f"{failed} of {len(spoilt.checks)} checks failed: not to be used.")
        assert "Likeliest cause: single readings lie far off." in said
        assert "Ringed, suspect: row 5 of flow curve" in said
        assert spec["config"]["title"]["subtitleFontWeight"] == "bold"
        for layer in layers_with(spec, "ring"):
            marked = [row["ring"] for row in spec["datasets"][layer["data"]["name"]]]
            assert all(re.fullmatch(r"rows? \d+( to \d+)?(, \d+( to \d+)?)*", words) for words in marked)
        assert layers_with(spec, "ring")
        (rings,) = (one for one in spec["layer"] if one.get("mark", {}).get("size") == 420)
        assert len(spec["datasets"][rings["data"]["name"]]) == len(spoilt.suspect_rows)
    assert charts.flow_curve(spoilt).description.startswith(spoilt.stamp)
    early = charts.flow_curve(spoilt, checked=False).to_dict()
    assert early["title"]["subtitle"][0] == "Not checked yet: the checks are being computed"
    assert not layers_with(early, "ring")


@pytest.mark.slow
def test_a_picture_says_ringed_of_the_readings_that_it_draws_alone():
    """A flow curve has no point of a yield stress, so it says of none that it is ringed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.RheokitWarning)
        rates = np.geomspace(1, 100, 6)
        curve = rk.FlowCurve(shear_rate=rates, shear_stress=60 + 40 * rates**0.5, relative_uncertainty=0.02)
        far = [0.0150, 0.0151, 0.0149, 0.0080]  # invented, the fourth cone far off
        cone = rk.FallCone(mass=0.06, apex_angle=np.pi / 3, penetration=far, relative_uncertainty=0.03, model_error=0.3)
        spoilt = rk.fit(rk.HerschelBulkley, rk.Bench(rk.Specimen(paste="mine"), [curve, cone]))
    assert spoilt.suspect_rows and {place for place, _ in spoilt.suspect_rows} == {1}
    for chart, ringed in (
        (charts.flow_curve(spoilt), 0),
        (charts.residuals(spoilt), 0),
        (charts.read_against_predicted(spoilt), 1),
    ):
        spec = chart.to_dict()
        assert (
            any("Ringed" in line for line in spec["title"]["subtitle"])
            == bool(layers_with(spec, "ring"))
            == bool(ringed)
        )
        assert ringed or "Ringed" not in chart.description


def test_rows_that_stand_close_are_named_by_one_label():
    """Three labels of one place were drawn over each other."""
    frame = pd.DataFrame({"ring": ["row 4", "row 3", "row 5", "", "row 9"]})
    named = labels(frame, np.array([10.0, 12.0, 9.0, 11.0, 300.0]), np.array([50.0, 55.0, 48.0, 90.0, 50.0]))
    assert sorted(named.ring) == ["row 9", "rows 3 to 5"]
    assert named.ring.loc[1] == "rows 3 to 5"  # at the highest of them
    apart = labels(frame, np.array([0.0, 200.0, 400.0, 500.0, 600.0]), np.zeros(5))
    assert sorted(apart.ring) == ["row 3", "row 4", "row 5", "row 9"]


@pytest.mark.parametrize(("count", "layers"), [(CROWD, 3), (CROWD + 1, 1)])
def test_many_rings_stand_without_labels_that_would_cover_them(count, layers):
    """Twenty-four readings of a loop were ringed, and named across one another; the line below the title has their rows."""
    frame = pd.DataFrame(
        {"x": np.arange(count) * 90.0, "y": np.zeros(count), "ring": [f"row {k}" for k in range(count)]}
    )
    x, y = alt.X("x:Q"), alt.Y("y:Q", scale=alt.Scale(domain=[-1, 1]))
    assert len(rings(sheet_of("light", 600), frame, x, y)) == layers


@pytest.mark.parametrize(
    "name", ["syringe force 'bore 1.2 mm, land 12 mm'", "syringe force 'bore 1.2 mm, land 12 mm' (batch P1)"]
)
def test_the_name_of_a_test_stands_on_two_lines_without_a_quote_left_over(name):
    """Beside "(batch P1)" the closing quote stayed without its opening one."""
    axis = alt.Y("test:N").axis(labelExpr=TWO_LINES, labelLimit=0)
    drawn = static_of(alt.Chart(pd.DataFrame({"test": [name]})).mark_point().encode(axis).to_dict(), "sans-serif")
    words = re.findall(r">([^<>]*bore 1.2 mm[^<>]*)<", drawn)
    assert words[-1].replace("&#39;", "'") == name.partition("'")[2].replace("'", "")


def test_a_fit_that_passes_is_not_stamped(fit):
    assert fit.stamp == ""
    spec = charts.flow_curve(fit).to_dict()
    assert spec["title"]["subtitle"] == ["olive <b>paste</b>", "INVENTED readings, for demonstration"]
    assert not layers_with(spec, "ring")


def test_words_hold_the_numbers(fit):
    words = charts.flow_curve(fit).description
    for _, _, value, limits, unit, _ in in_text.stresses(fit):  # one number, one interval, here and in the table
        assert f"{value} {unit} (95 % {limits} {unit})" in words
    plain = charts.flow_curve(fit, band=False).description
    assert f"{float(fit.law.shear_stress(10.0)) / 1e3:.3g} kPa at 10 1/s" in plain, "no limits where no band is drawn"
    assert "The readings cover 5 to 200 1/s" in words
    alone = next(one for one in charts.yield_stresses(fit).description.split("; ") if "fall cone" in one)
    assert alone.partition("fall cone")[2].partition("(where")[0] in words, "with the digits that both pictures have"
    assert "1 reading counts as a bound" in words


def test_a_wrong_page_or_object_is_refused(fit):
    with pytest.raises(rk.DataError, match="page = 'sepia'; it must be one of 'light', 'dark'"):
        charts.flow_curve(fit, page="sepia")
    with pytest.raises(rk.DataError, match=r"is not the result of a fit; give what rk\.fit returned"):
        charts.flow_curve(bench())
    with pytest.raises(rk.DataError, match="along = 'time'; it must be 'shear_rate' or 'run_order'"):
        charts.residuals(fit, "time")


def luminance(colour):
    """Return the relative luminance of a colour (WCAG 2.2, from memory)."""
    c = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    return float(np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4) @ [0.2126, 0.7152, 0.0722])


@pytest.mark.parametrize("page", list(PAGES.values()), ids=list(PAGES))
def test_colours_stand_out_and_differ_in_greyscale(page):
    ground = luminance(page.background)
    for colour, least in [*[(c, 3.0) for c in page.colours], (page.ink, 7.0)]:
        low, high = sorted((luminance(colour), ground))
        assert (high + 0.05) / (low + 0.05) >= least, colour
    lightness = sorted(116 * luminance(c) ** (1 / 3) - 16 for c in page.colours)
    assert min(np.diff(lightness)) >= 5
    assert len(set(SHAPES)) == len(SHAPES) > len(page.colours)


@pytest.mark.slow
def test_live_pictures_draw_on_canvas_without_a_menu(fit):
    shown = charts.live(charts.flow_curve(fit))
    aside = {"offsetX": 28, "offsetY": 28}  # so that the point asked about stays in sight
    assert shown.embed_options == {"renderer": "canvas", "actions": False, "tooltip": aside}
    assert shown._is_offline  # nothing is fetched


SOONER = """
import sys
from rheokit.charts import sooner
assert "rfc3987_syntax" not in sys.modules and "jsonschema" in sys.modules
import altair as alt
made = []
put_together = alt.JupyterChart.enable_offline
alt.JupyterChart.enable_offline = lambda: made.append(put_together())
sooner.without_network()
assert alt.JupyterChart._is_offline and "vega" in alt.JupyterChart._esm
print(len(made))
import rfc3987_syntax  # who needs it gets it
"""


@pytest.mark.slow
def test_what_draws_without_a_network_is_put_together_once_for_a_version_and_anew_where_it_is_spoiled(tmp_path):
    def run():
        way = os.environ | {"RHEOKIT_STATE": str(tmp_path)}
        return subprocess.run(
            [sys.executable, "-c", SOONER], env=way, capture_output=True, text=True, check=True
        ).stdout

    assert [run(), run()] == ["1\n", "0\n"]
    (kept,) = (tmp_path / "javascript").iterdir()
    whole = kept.read_bytes()
    kept.write_bytes(whole[:-1000])
    assert run() == "1\n" and kept.read_bytes() == whole


def test_a_bench_of_flow_curves_alone_makes_charts_without_nan():
    """NaN is no JSON: a notebook would warn of it below the page."""
    run = rk.FlowCurve(
        shear_rate=[1.0, 10.0, 100.0, 300.0], shear_stress=[70.0, 85.0, 115.0, 140.0], relative_uncertainty=0.03
    )
    fit = rk.fit(rk.PowerLaw, run)
    for chart in (charts.flow_curve(fit), charts.residuals(fit, charts.RATE), charts.read_against_predicted(fit)):
        assert json.dumps(chart.to_dict(), allow_nan=False)


def test_no_two_laws_of_a_picture_have_the_same_line():
    assert len(set(map(tuple, DASHES))) == len(DASHES) >= len(rk.LAWS)


@pytest.mark.slow
@pytest.mark.parametrize("drawing", list(DRAWINGS))
def test_on_a_wall_every_text_of_a_chart_is_large(drawing, fit, budget):
    spec = DRAWINGS[drawing](fit, budget, page="dark, large", width=760).to_dict()
    assert spec["background"] == PAGES["dark"].background
    found = re.findall(r'"(?:labelFontSize|titleFontSize|subtitleFontSize|fontSize)": (\d+)', json.dumps(spec))
    assert found and min(map(int, found)) >= 22
