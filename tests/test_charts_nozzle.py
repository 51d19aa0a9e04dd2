"""Pictures of nozzle and force: held against the extruder and the case they are made from.

Kind: exact. What a chart draws is the law's own pressure and force; the sums are those of the budget.
"""

import math
import warnings
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit import charts
from rheokit.charts.drawing import round_down, round_up
from rheokit.charts.labels import apart
from rheokit.charts.looks import PAGES, TEXT
from rheokit.machine.extruder import Slip
from rheokit.nomenclature import with_limits
from rheokit.units import MPa, kPa, mm

LAW = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
DRAWS = rk.HerschelBulkley(
    yield_stress=np.linspace(550, 750, 41)[:, None],
    consistency=np.full((41, 1), 210.0),
    flow_index=np.full((41, 1), 0.38),
)
NOZZLE = rk.Nozzle(
    rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=10 * mm),
    rk.Cylinder(diameter=1.6 * mm, length=8 * mm),
)
RIG = rk.Extruder(
    barrel_diameter=26.7 * mm, fill_length=60 * mm, plunger_friction=8.0, break_loose_friction=12.0, nozzle=NOZZLE,
    drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25), pressure_rating=1 * MPa,
)  # fmt: skip
JOB = rk.PrintJob(print_speed=15e-3, layer_height=1 * mm, line_width=2 * mm)
FLOW = 25 * mm**3


def case(extruder=RIG, job=JOB, rate_range=(10.0, 400.0), yield_read=False):
    paste = rk.Paste(law=LAW, static_ratio=1.3)
    return rk.Case(paste=paste, extruder=extruder, job=job, rate_range=rate_range, yield_read=yield_read)


def rows(chart, name):
    return chart.to_dict()["datasets"][name]


def fall(profile, part):
    own = profile[profile.part == part].pressure
    return own.iloc[0] - own.iloc[-1]


DRAWINGS = {
    "force": lambda **look: charts.force_speed(case(), DRAWS, ["INVENTED"], **look),
    "force, no band": lambda **look: charts.force_speed(case(), **look),
    "force, nothing read": lambda **look: charts.force_speed(case(rate_range=None), **look),
    "along": lambda **look: charts.nozzle_pressure(RIG, LAW, FLOW, (60e3, 90e3), ["INVENTED"], **look),
    "along, no interval": lambda **look: charts.nozzle_pressure(RIG, LAW, FLOW, **look),
}


@pytest.mark.slow
@pytest.mark.parametrize("width", [330, 1100])
@pytest.mark.parametrize("page", list(PAGES))
@pytest.mark.parametrize("drawing", list(DRAWINGS))
def test_every_chart_is_valid_on_every_page(drawing, page, width):
    spec = DRAWINGS[drawing](page=page, width=width).to_dict()
    assert spec["background"] == PAGES[page].background
    assert spec["config"]["axis"]["labelFontSize"] == TEXT >= 14
    assert spec["width"] == width
    assert len(spec["description"]) > 40


@pytest.mark.slow
def test_axis_titles_are_those_of_the_nomenclature():
    def titles(chart):
        return {
            layer["encoding"][a]["title"]
            for layer in chart.to_dict()["layer"]
            for a in "xy"
            if "title" in layer["encoding"].get(a, {})
        }

    assert titles(charts.force_speed(case())) == {"print speed v [mm/s]", "force on the plunger F [N]"}
    assert titles(charts.nozzle_pressure(RIG, LAW, FLOW)) == {"distance from the plunger face [mm]", "pressure p [kPa]"}


# --- along the extruder -----------------------------------------------------------------------------------------------


def test_the_profile_falls_from_the_pressure_at_the_face_to_zero_at_the_tip_by_the_budget():
    profile, budget = charts.pressure_profile(RIG, LAW, FLOW), RIG.budget(LAW, FLOW).pressure_drop
    assert profile.pressure.iloc[0] == pytest.approx(RIG.pressure(LAW, FLOW), rel=1e-12)
    assert profile.pressure.iloc[-1] == 0
    assert (np.diff(profile.pressure) <= 0).all()
    assert (np.diff(profile.distance) >= 0).all()
    assert list(dict.fromkeys(profile.part)) == ["barrel", "step", "taper", "land"]
    falls = [fall(profile, part) for part in ("barrel", "step", "taper", "land")]
    assert falls == pytest.approx([budget[0], budget[1], budget[2] + budget[3], budget[4]], rel=1e-9)
    assert profile.distance.iloc[-1] == pytest.approx(78 * mm)
    assert profile.groupby("part").radius.agg(["max", "min"]).loc["taper"].tolist() == pytest.approx([2 * mm, 0.8 * mm])


def test_inside_a_taper_of_a_newtonian_liquid_the_fall_is_that_of_inverse_cubes():
    """Lubrication in a cone: p falls as 1/D³ - 1/D_in³ (closed form); what stretching costs follows the same cubes."""
    water = rk.Newtonian(viscosity=1.0)
    extruder = replace(RIG, nozzle=rk.Nozzle(rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=40 * mm)))
    taper = charts.pressure_profile(extruder, water, FLOW).query("part == 'taper'")
    lost = 1 - (taper.pressure - taper.pressure.iloc[-1]) / fall(taper, "taper")
    cubes = (1 / taper.radius**3 - 1 / taper.radius.iloc[0] ** 3) / (
        1 / taper.radius.iloc[-1] ** 3 - 1 / taper.radius.iloc[0] ** 3
    )
    assert lost.to_numpy() == pytest.approx(cubes.to_numpy(), abs=0.005)


@pytest.mark.parametrize(
    ("nozzle", "parts"),
    [
        (rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=20 * mm)), ["barrel", "step", "land"]),
        (rk.Nozzle(rk.Cone(inlet_diameter=26.7 * mm, outlet_diameter=2 * mm, length=30 * mm)), ["barrel", "taper"]),
        (
            rk.Nozzle(rk.Cylinder(diameter=4 * mm, length=9 * mm), rk.Cylinder(diameter=2 * mm, length=9 * mm)),
            ["barrel", "step", "tube", "step", "land"],
        ),
    ],
)
def test_every_nozzle_is_told_by_its_parts(nozzle, parts):
    extruder = replace(RIG, nozzle=nozzle)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.ModelRangeWarning)
        profile = charts.pressure_profile(extruder, LAW, FLOW)
        assert profile.pressure.iloc[0] == pytest.approx(extruder.pressure(LAW, FLOW), rel=1e-9)
    assert list(profile.groupby("place").part.first()) == parts


def test_a_land_that_slips_takes_less():
    slipping = replace(RIG, slip=Slip(coefficient=1e-5, threshold=200.0))
    profile = charts.pressure_profile(slipping, LAW, FLOW)
    assert profile.pressure.iloc[0] == pytest.approx(slipping.pressure(LAW, FLOW), rel=1e-9)
    assert fall(profile, "land") < 0.8 * fall(charts.pressure_profile(RIG, LAW, FLOW), "land")


@pytest.mark.slow
def test_the_picture_names_the_parts_with_their_pressure_and_shows_the_interval():
    chart = charts.nozzle_pressure(RIG, LAW, FLOW, (60e3, 90e3))
    profile = charts.pressure_profile(RIG, LAW, FLOW)
    assert {row["words"] for row in rows(chart, "names")} == {
        f"{part} {fall(profile, part) / kPa:.3g} kPa" for part in ("barrel", "step", "taper", "land")
    }
    assert (rows(chart, "face")[0]["pressure"], rows(chart, "face")[0]["high"]) == pytest.approx((60, 90))
    assert [row["pressure"] for row in rows(chart, "law")] == pytest.approx(list(profile.pressure / kPa))
    assert "95 % 60 to 90 kPa" in chart.to_dict()["description"]


@pytest.mark.parametrize("flow", [0.0, -1e-9, float("nan"), np.array([1e-9, 2e-9])])
def test_a_flow_that_is_none_is_refused(flow):
    with pytest.raises(rk.DataError, match="must be one positive flow"):
        charts.pressure_profile(RIG, LAW, flow)


# --- force against speed ----------------------------------------------------------------------------------------------


def test_force_and_band_are_those_of_the_law_and_its_draws():
    here, chart = case(), charts.force_speed(case(), DRAWS)
    section = float(here.flow_rate) / 15e-3
    for row in rows(chart, "law"):
        assert row["force"] == pytest.approx(RIG.plunger_force(LAW, section * row["speed"] * mm), rel=1e-12)
    for row in rows(chart, "band"):
        forces = RIG.plunger_force(DRAWS, section * row["speed"] * mm)
        assert (row["low"], row["high"]) == pytest.approx(np.quantile(forces, [0.025, 0.975]), rel=1e-12)
    ends = sorted(rows(chart, "band"), key=lambda row: row["speed"])
    forces = [float(RIG.plunger_force(LAW, section * end["speed"] * mm)) for end in (ends[0], ends[-1])]
    first, last = (
        with_limits(force, end["low"], end["high"], "N") for force, end in zip(forces, (ends[0], ends[-1]), strict=True)
    )
    assert f", from {first} at 1 mm/s to {last} at 100 mm/s." in chart.to_dict()["description"]
    (shown,) = rows(chart, "here")
    assert (shown["speed"], shown["force"]) == pytest.approx((15.0, float(here.force)))


def test_speeds_read_are_those_whose_rates_from_barrel_to_bore_were_read():
    for rig, wide in ((RIG, 26.7 * mm), (replace(RIG, fill_length=0.0), 4 * mm)):
        here = case(rig, rate_range=(0.01, 400.0))
        ends = zip(charts.speeds_read(here), (0.01 / 1.02, 400.0 * 1.02), (wide, 1.6 * mm), strict=True)
        for speed, rate, diameter in ends:
            flow = float(here.flow_rate) / 15e-3 * speed
            wall = LAW.wall_shear_stress(32 * flow / (np.pi * diameter**3))
            assert LAW.shear_rate(wall) == pytest.approx(rate, rel=1e-9)
    assert charts.speeds_read(case(yield_read=True))[0] == 0
    assert charts.speeds_read(case(rate_range=None)) is None


def test_a_barrel_that_was_not_read_leaves_no_speed_that_was():
    said = charts.force_speed(case()).to_dict()["description"]
    assert "The readings cover no print speed, from the barrel to the bore: all of it is extrapolated." in said
    assert (
        "The readings cover print speeds up to " in charts.force_speed(case(yield_read=True)).to_dict()["description"]
    )


@pytest.mark.slow
def test_what_was_not_read_is_dashed_hatched_and_called_extrapolated():
    here = case(replace(RIG, fill_length=0.0), rate_range=(2.0, 400.0))
    slow, fast = charts.speeds_read(here)
    chart = charts.force_speed(here)
    read = [row["speed"] for row in rows(chart, "law") if row["covered"]]
    assert (min(read), max(read)) == pytest.approx((slow / mm, fast / mm))
    assert all(not slow / mm * 1.001 < row["speed"] < fast / mm * 0.999 for row in rows(chart, "hatching"))
    assert rows(chart, "hatching")
    assert [row["words"] for row in rows(chart, "names")].count("extrapolated") == 2
    nothing = charts.force_speed(case(rate_range=None))
    assert not any(row["covered"] for row in rows(nothing, "law"))
    assert "all of it is extrapolated" in nothing.to_dict()["description"]


@pytest.mark.slow
def test_limits_of_the_force_are_those_of_drive_barrel_hand_and_rest():
    here = case()
    limits = charts.force_limits(here).set_index("name")
    assert limits.force["drive"] == pytest.approx(2 * np.pi * 0.3 * 0.25 / 2e-3)
    assert limits.force["half the rating"] == pytest.approx(500e3 * RIG.area + 8)
    assert limits.force["hand"] == 38
    assert limits.force["start after rest"] == pytest.approx(1.3 * 650 * RIG.start_factor * RIG.area + 12)
    assert list(limits.index[limits.hard]) == ["half the rating"]
    drawn = rows(charts.force_speed(here), "limits")
    assert {row["words"] for row in drawn} == set(limits.words)
    assert [row["force"] for row in drawn if row["hard"]] == pytest.approx([limits.force["half the rating"]])
    names = [row["words"] for row in rows(charts.force_speed(here), "names")]
    assert all(any(limit in name for name in names) for limit in limits.words)


def test_two_limits_that_look_like_one_line_have_one_name_clear_of_it():
    rig = replace(RIG, drive=rk.ScrewDrive(torque=38.3 * 2e-3 / (2 * np.pi * 0.25), lead=2 * mm, efficiency=0.25))
    chart = charts.force_speed(case(rig))
    drawn, names = rows(chart, "limits"), rows(chart, "names")
    (both,) = [row for row in names if row["words"].startswith("drive 38.3 N, hand 38 N")]
    span = chart.to_dict()["layer"][0]["encoding"]["y"]["scale"]["domain"]
    above = [330 * abs(math.log(both["force"] / row["force"])) / math.log(span[1] / span[0]) for row in drawn]
    assert min(above) > 9, "its halo leaves the line whole"


def test_a_start_whose_break_loose_friction_is_not_known_is_a_lower_bound():
    limits = charts.force_limits(case(replace(RIG, break_loose_friction=None))).set_index("name")
    assert limits.words["start after rest, at least"].startswith("start after rest, at least ")


@pytest.mark.slow
def test_an_unrated_barrel_bears_100_kPa_and_never_air():
    unrated = replace(RIG, pressure_rating=None)
    assert charts.force_limits(case(unrated)).set_index("name").force["unrated barrel"] == pytest.approx(
        100e3 * RIG.area + 8
    )
    aired = charts.force_speed(case(replace(unrated, drive=rk.AirDrive(200 * kPa))))
    assert "unrated barrel: never air" in {row["words"] for row in rows(aired, "names")}
    assert not any(row["hard"] for row in rows(aired, "limits"))


def test_a_limit_far_above_is_named_and_not_drawn():
    strong = charts.force_speed(case(replace(RIG, drive=rk.ScrewDrive(torque=30, lead=2 * mm, efficiency=0.25))))
    assert any(
        "above the picture" in row["words"] and row["words"].startswith("drive") for row in rows(strong, "names")
    )
    assert not any(row["words"].startswith("drive") for row in rows(strong, "limits"))


@pytest.mark.parametrize("page", ["light", "light, large"])
@pytest.mark.parametrize("width", [560, 640, 760])
def test_no_words_lie_on_a_line_a_mark_or_other_words(page, width):
    tall, letter = (15, 7) if page == "light" else (22, 10.2)
    for torque in (0.076, 0.3):  # of a drive just above the force at hand, and of one far from it
        rig = replace(RIG, drive=rk.ScrewDrive(torque=torque, lead=2 * mm, efficiency=0.25))
        chart = charts.force_speed(case(rig, yield_read=True), DRAWS, page=page, width=width, interval=(43.0, 58.0))
        slow, fast = chart.to_dict()["layer"][0]["encoding"]["x"]["scale"]["domain"]
        least, most = chart.to_dict()["layer"][0]["encoding"]["y"]["scale"]["domain"]
        wide, high = width - (75 if page == "light" else 110), chart.to_dict()["height"]

        def at(speed, force):
            x, y = math.log(speed / slow) / math.log(fast / slow), math.log(force / least) / math.log(most / least)  # noqa: B023
            return wide * x, high * y  # noqa: B023

        boxes = {}
        for row in rows(chart, "names"):
            x, y = at(row["speed"], row["force"])
            boxes[row["words"]] = (x, x + letter * len(row["words"]), y - tall / 2, y + tall / 2)
        (here,) = rows(chart, "here")
        curve = [at(row["speed"], row["force"]) for row in rows(chart, "law")]
        bar = [at(here["speed"], force) for force in np.geomspace(here["low"], here["high"], 9)]
        lines = [at(speed, row["force"]) for row in rows(chart, "limits") for speed in np.geomspace(slow, fast, 99)]
        for words, (left, right, foot, top) in boxes.items():
            assert not [one for one in [*curve, *bar, *lines] if left < one[0] < right and foot < one[1] < top], words
            for other, (start, end, low, up) in boxes.items():
                assert words == other or end < left or right < start or up <= foot or top <= low, (words, other)


@pytest.mark.slow
def test_a_move_changes_numbers_and_not_the_axes():
    one, other = (charts.drawn_force_speed(case(job=replace(JOB, print_speed=v)), DRAWS) for v in (15e-3, 16e-3))
    assert (one.axes, one.build) == (other.axes, other.build)
    assert one.numbers["datasets"]["here"] != other.numbers["datasets"]["here"]
    assert {**one.chart().to_dict(), **other.numbers} == other.chart().to_dict()


def test_the_force_that_starts_the_flow_has_its_band():
    chart = charts.force_speed(case(), DRAWS, starts=(30.0, 44.0))
    assert rows(chart, "starts") == [{"low": 30.0, "high": 44.0}]
    said = chart.to_dict()["description"]
    (name,) = (row["words"] for row in rows(chart, "limits") if row["words"].startswith("start after rest"))
    assert f"{name} (95 % 30 to 44 N)" in said
    ends = [
        layer["encoding"]["y"] for layer in chart.to_dict()["layer"] if layer.get("data", {}).get("name") == "starts"
    ]
    assert [("axis" in end, end["field"]) for end in ends] == [(False, "low")], "the band takes no axis away"
    without = charts.force_speed(case(), DRAWS)
    assert rows(without, "starts") == []
    assert " (95 % 30 to 44 N)" not in without.to_dict()["description"]
    beyond = charts.force_speed(case(), DRAWS, starts=(1e7, 2e7))
    assert rows(beyond, "starts") == [], "what lies outside the picture is said, and not drawn at its edge"


def test_arrays_are_refused():
    with pytest.raises(rk.DataError, match="the case holds arrays"):
        charts.force_speed(case(job=replace(JOB, print_speed=np.array([0.01, 0.02]))))


@pytest.mark.parametrize("value", [1e-7, 0.0123, 1.0, 1.01, 9.7, 10, 37.7, 288, 99999])
def test_axes_end_at_round_numbers_near_by(value):
    assert value * (1 - 1e-9) <= round_up(value) <= 1.34 * value
    assert value / 1.34 <= round_down(value) <= value * (1 + 1e-9)


def test_labels_are_pushed_apart_between_their_bounds():
    assert apart([10, 11, 50], 5, 0, 100) == pytest.approx([10, 15, 50])
    assert apart([99, 98, 50], 5, 0, 100) == pytest.approx([100, 95, 50])
    assert apart([-5, 2], 5, 0, 100) == pytest.approx([0, 5])
