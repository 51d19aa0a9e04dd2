"""What every chart owes a page, whoever added it: a valid picture in both colours, its numbers in words, titles with units.

A chart is called with what its parameters are named after: ``law``, ``fit``, ``extruder``, ``case`` ... (see `examples`).
"""

import inspect
import re
from datetime import datetime

import altair as alt
import numpy as np
import pandas as pd
import pytest
from dopes import fibre_asked

import rheokit as rk
from rheokit import charts
from rheokit.charts.drawing import Drawing
from rheokit.charts.looks import PAGES, TEXT
from rheokit.part.drying import drying_times
from rheokit.paste.water import WaterLaw
from rheokit.planning.fibre_way import fibre_way
from rheokit.regions import region_map
from rheokit.units import kPa, mm
from rheokit.workbook.outcomes import Outcome, Score

LAW = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
WATERS = {"start_water": 1.045, "critical_water": 0.6, "final_water": 0.15, "equilibrium_water": 0.08}
MEAN_LETTER = 9.3  # px, of the large text
pytestmark = pytest.mark.slow  # a fit and a map to draw
DRAWN_ELSEWHERE = {"region_contents"}  # the contents of a chart, for a frame that stands


@pytest.fixture(scope="module")
def examples():
    """Return what a chart may ask for by the names of its parameters, and by the name of a chart what it means otherwise."""
    nozzle = rk.Nozzle(
        rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=10 * mm),
        rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
    )
    extruder = rk.Extruder(
        barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0, nozzle=nozzle, pressure_rating=1000 * kPa,
        drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
    )  # fmt: skip
    job = rk.PrintJob(print_speed=15 * mm, layer_height=1 * mm, line_width=2 * mm, part_height=10 * mm)
    material = rk.Material(paste=rk.Paste(law=LAW, density=1110.0, static_ratio=1.3), rate_range=(10.0, 400.0))
    rates = np.geomspace(1, 100, 6)
    stress = LAW.shear_stress(rates) * np.array([1.01, 0.98, 1.02, 0.99, 1.0, 1.01])
    water = WaterLaw.fit([0.95, 1.045, 1.15, 1.30], [905.0, 630.0, 478.0, 279.0], 0.15)
    carried = pd.DataFrame(
        {
            "time": [0.0, 200.0, 400.0],
            "height": [0.02, 0.03, 0.03],
            "low": [0.015, 0.02, 0.02],
            "high": [0.03, 0.04, 0.04],
        }
    )
    readings = pd.DataFrame(
        {"water": [0.95, 1.30], "stress": [905.0, 279.0], "low": [700.0, 200.0], "high": [1100.0, 350.0]}
    )
    axes = {"bore": np.geomspace(0.6, 4, 6) * mm, "print_speed": np.geomspace(3, 40, 6) * mm}
    by_parameter = {
        "law": LAW, "extruder": extruder, "nozzle": nozzle, "flow_rate": 25 * mm**3, "job": job, "material": material,
        "fit": rk.fit(rk.HerschelBulkley, rk.FlowCurve(shear_rate=rates, shear_stress=stress, relative_uncertainty=0.02)),
        "budget": extruder.budget(LAW, 25 * mm**3), "case": rk.Case.of(material, extruder, job),
        "found": region_map(material, extruder, job, axes=axes, draws=20), "times": drying_times(2.0, 1.0, 1e-5, **WATERS), **WATERS,
        "rise_speed": 1e-4, "wanted_height": 0.04, "carried": carried, "leans": (0.0145, 0.009, 0.023), "fails": (0.0145, "The wall leans first"),
        "dry_size": (0.06, 0.03), "scales": (1.087, 1.124), "readings": readings, "batch": (0.81, 1400.0), "wanted": 650.0, "correction": None,
        "recipe": 1.045,
        "way": fibre_way(rk.Case.of(*fibre_asked())),
    }  # fmt: skip
    by_parameter["uncertainty"] = rk.uncertainty_budget(
        by_parameter["fit"], lambda law: law.shear_stress(10.0), unit="Pa"
    )
    plate = rk.LoadedPlate(
        radius=[20 * mm, 21 * mm], volume=5e-6, force=9.81, model_error=0.15, relative_uncertainty=0.02
    )
    record = [
        Outcome(
            number=k,
            when=datetime(2026, 1, 31),
            quantity="force",
            value=50.0 + k,
            low=40.0,
            high=70.0,
            observed=60.0 + 3 * k,
        )
        for k in range(1, 6)
    ]
    true = [
        Outcome(number=k, when=datetime(2026, 1, 31), quantity="printed", probability=k / 9, came=k % 3 > 0)
        for k in range(1, 9)
    ]
    by_parameter["score"] = Score("force", tuple(record))
    otherwise = {"predicted_and_true": {"score": Score("printed", tuple(true))}}
    otherwise |= {name: {"law": water} for name in charts.CHARTS if name.endswith("water_stress")}
    return by_parameter, otherwise | {
        "yield_stresses": {"fit": rk.fit(rk.HerschelBulkley, by_parameter["fit"].tests[0], plate)}
    }


def drawn(name, examples, **look):
    """Return a chart by its name, of the examples that it asks for."""
    by_parameter, otherwise = examples
    known = by_parameter | otherwise.get(name, {})
    asked = [
        one.name
        for one in inspect.signature(charts.CHARTS[name]).parameters.values()
        if one.default is one.empty and one.kind is not one.VAR_POSITIONAL
    ]
    unknown = set(asked) - set(known)
    assert not unknown, (
        f"{name} asks for {unknown}; name its parameters after what is in `examples`, or put an example there"
    )
    found = charts.CHARTS[name](**{key: known[key] for key in asked}, **look)
    return found.chart() if isinstance(found, Drawing) else found


def titles(place, axes=("x", "y")):
    """Return the titles of axes in a chart as a dict, and the type of what stands on them."""
    if isinstance(place, dict):
        own = [
            (one.get("type"), one.get("title"))
            for axis, one in place.get("encoding", {}).items()
            if axis in axes and isinstance(one, dict)
        ]
        return own + [found for value in place.values() for found in titles(value, axes)]
    return [found for value in place for found in titles(value, axes)] if isinstance(place, list) else []


@pytest.mark.filterwarnings("ignore:somewhere on the map", "ignore:converging flow")
@pytest.mark.parametrize("name", [name for name in charts.CHARTS if name not in DRAWN_ELSEWHERE])
def test_every_chart_is_a_picture_in_both_colours_with_words_and_units(name, examples):
    for page in PAGES:
        chart = drawn(name, examples, page=page, width=640)
        assert isinstance(chart, alt.TopLevelMixin)
        spec = chart.to_dict()
        assert spec["background"] == PAGES[page].background
        assert spec["width"] == 640
        assert spec["config"]["axis"]["labelFontSize"] == TEXT
        title = spec["title"]
        heading = title if isinstance(title, str) else title["text"]  # of one line, or of several
        assert "".join(heading).strip()
        assert len(spec["description"]) > 40 and re.search(r"\d", spec["description"]), "say the numbers in words"
        named = [title for kind, title in titles(spec) if kind == "quantitative" and title]
        assert named and all(re.search(r" \[.+\]", title) for title in named), named
    for width in (440, 640):  # on a wall no title is longer than its axis
        spec = drawn(name, examples, page="light, large", width=width).to_dict()
        for _, title in titles(spec, "y"):
            lines = [title] if isinstance(title, str) else title or []
            assert max(map(len, lines), default=0) * MEAN_LETTER <= spec["height"], lines
    with pytest.raises(rk.DataError, match="page = 'sepia'"):
        drawn(name, examples, page="sepia")


@pytest.mark.parametrize("room", [rk.charts, rk.widgets])
def test_a_name_that_is_none_is_refused(room):
    with pytest.raises(AttributeError):
        _ = room.no_such_name
