"""Advice on needles from stock: each gauge as a point asked alone, and the sentence that is made of them.

Kind: exact. The table is held against `chance` of a nozzle of that bore; the sentence against rows by hand.
"""

from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.planning import chance, nozzle_advice
from rheokit.planning.stock import _advice, needle_rows
from rheokit.units import kPa, mm
from rheokit.widgets.nozzle.stock import CatchPanel, StockPanel, needles_fold


def asked(grains=0.3 * mm):
    nozzle = rk.Nozzle(
        rk.Cone(inlet_diameter=6 * mm, outlet_diameter=1.6 * mm, length=10 * mm),
        rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
    )
    extruder = rk.Extruder(
        barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0, nozzle=nozzle, pressure_rating=1000 * kPa
    )
    law = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
    paste = rk.Paste(law=law, density=1110.0, static_ratio=1.3, grain_size=0.8 * grains, largest_grain=grains)
    job = rk.PrintJob(print_speed=15 * mm, line_width_to_bore=1.2, layer_height_to_bore=0.6, part_height=10 * mm)
    return rk.Material(paste=paste, law_spreads={"yield_stress": 0.15}), extruder, job


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_every_gauge_is_that_point_asked_alone():
    material, extruder, job = asked()
    found = nozzle_advice(material, extruder, job, limits=["clog", "rated pressure"], draws=200)
    assert list(found.table.bore) == sorted(found.table.bore, reverse=True)
    for gauge in ("10G", "14G", "18G"):
        bore = rk.needle_bore(int(gauge[:-1]))
        rig = replace(extruder, nozzle=extruder.nozzle.with_bore(bore))
        alone = chance(material, rig, job, limits=["clog", "rated pressure"], draws=200)
        assert found.table.probability[gauge] == pytest.approx(float(alone.probability[0, 0]), abs=1e-12), gauge
    assert found.words.startswith("Take ") and "and narrower: bore against grains (clog)" in found.words
    by_pressure = found.table.stops_first == "rated pressure"
    assert by_pressure.any() and set(found.table.verdict[by_pressure]) == {"stopped"}, "in the word of the other pages"
    assert "stopped" not in set(found.table.verdict[~by_pressure])
    coarse = nozzle_advice(*asked(grains=0.5 * mm), limits=["clog"], draws=200)
    least = [min(one.table.bore[one.table.probability >= 0.9]) for one in (found, coarse)]
    assert least[1] > least[0], "coarser grains need a wider bore"


def rows(*chances):
    names, bores = ("18G", "16G", "14G", "12G"), np.array([0.84, 1.19, 1.6, 2.16]) * mm
    return [(*one, "", "clog") for one in zip(names, bores, chances, strict=True)]


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_what_could_not_be_judged_stands_before_the_advice():
    material, extruder, job = asked()
    unknown = replace(material, paste=replace(material.paste, grain_size=None, largest_grain=None))
    words = nozzle_advice(unknown, extruder, job, limits=["clog", "rated pressure"], draws=100).words
    assert words.startswith("As far as it could be judged: Take") and words.endswith(
        "Not judged: clog (grain size not known)."
    )


@pytest.mark.parametrize(
    ("chances", "said"),
    [
        ((0.0, 0.7, 0.95, 0.99), "Take 14G (1.6 mm) or wider; 16G and narrower: bore against grains (clog)."),
        (
            (0.0, 0.92, 0.95, 0.2),
            "Take 16G (1.19 mm) to 14G (1.6 mm); 18G and narrower: bore against grains (clog); "
            "12G and wider: bore against grains (clog).",
        ),
        ((0.95, 0.92, 0.95, 0.93), "Take 18G (0.84 mm) or wider."),
        (
            (0.0, 0.1, 0.4, 0.2),
            "No needle from stock prints with a probability of 0.9 or more: the nearest is 14G (1.6 mm), 0.40 of 1; bore against grains (clog) stops it first.",
        ),
    ],
)
def test_the_sentence(chances, said):
    take, sentence = _advice(rows(*chances))
    assert sentence == said and (
        said.partition(";")[0].removesuffix(".") == take or (not take and said.startswith("No needle"))
    )


def test_the_table_of_needles_says_bore_and_taper():
    """By hand: a luer taper of 10 mm widens by 0.6 mm."""
    row = next(row for row in needle_rows() if row[0] == "14G")
    bore = rk.needle_bore(14) / mm
    assert (row[1], row[-1]) == (f"{bore:.4g}", f"{bore + 0.6:.4g}")
    assert "measure the needle in hand" in needles_fold() and needles_fold().startswith("<details>")


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_the_panel_says_what_to_take_and_marks_every_gauge():
    advice = nozzle_advice(*asked(), limits=["clog"], draws=100)
    panel = StockPanel()
    panel.show(advice)
    assert f"<p>{advice.words}</p>" in panel.value
    rows = {row[0]: row for row in needle_rows(advice)}
    assert rows["10G"][-2].startswith("likely, ") and rows["30G"][-1] == "clog"


def test_a_catch_says_the_factor_on_the_setting():
    """By hand: 20 mm3/s of 1100 kg/m3 for 60 s are 1.32 g; 1.2 g were caught each time, so set 1.1 times as much."""
    panel = CatchPanel()
    panel.show(20 * mm**3, 1100.0)
    assert panel.answered.value == "" and not any(field.holds for field in panel.fields.values())
    for key, value in {"mass_1": "1.2", "mass_2": "1.19", "mass_3": "1.21", "time": "60"}.items():
        panel.fields[key].text.value = value
    assert panel.described().factor.value == pytest.approx(1.1)
    assert "1.2 g caught for 1.32 g set. Multiply the flow setting by 1.10" in panel.answered.value
    panel.fields["mass_3"].text.value = ""
    assert "Do not correct the flow by 1.1" in panel.answered.value and "Catch at least 3 times" in panel.answered.value
