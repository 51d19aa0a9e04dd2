"""The picture of a region: valid, honest about what is stopped, extrapolated or invented, and legible without colour.

Kind: exact. What is drawn is held against the map it was made from.
"""

import base64
import math
import struct
import zlib
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit import charts
from rheokit.charts.looks import PAGES, TEXT
from rheokit.charts.region_labels import Places, box_place, broken
from rheokit.charts.region_shapes import EVERYTHING_HOLDS, FINE, Shapes
from rheokit.charts.regions import SHADE_ENDS, edge_of, share_of
from rheokit.limits import LIMITS, Case
from rheokit.regions import AXES, RegionMap, region_map
from rheokit.units import kPa, mm

pytestmark = pytest.mark.filterwarnings("ignore:somewhere on the map, converging flow")
POINT = {"bore": 1.6 * mm, "water_content": 1.0}
BORES, WATER = np.geomspace(0.6, 4, 24) * mm, np.linspace(0.8, 1.4, 24)


def asked(rating=1000 * kPa, **changes):
    paste = rk.Paste(
        law=rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38), density=1110.0, modulus=25e3,
        grain_size=180e-6, water_content=1.045, water_slope=3.23,
    )  # fmt: skip
    material = rk.Material(
        paste=paste, law_spreads={"consistency": 0.1, "flow_index": 0.02}, rate_range=(20.0, 285.0), yield_read=True
    )
    drive = rk.ScrewDrive(torque=60 * 2e-3 / (2 * math.pi * 0.25), lead=2e-3, efficiency=0.25)
    nozzle = rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=12 * mm))
    extruder = rk.Extruder(
        barrel_diameter=26.7 * mm,
        fill_length=60 * mm,
        plunger_friction=8.0,
        nozzle=nozzle,
        drive=drive,
        pressure_rating=rating,
    )
    job = rk.PrintJob(
        print_speed=15 * mm, layer_height_to_bore=0.6, line_width_to_bore=1.22, part_height=15 * mm, **changes
    )
    return material, extruder, job


@pytest.fixture(scope="module")
def maps():
    axes = {"bore": BORES, "water_content": WATER}
    return {
        "probable": region_map(*asked(), None, axes, draws=200),
        "best": region_map(*asked(), None, axes),
        "unrated": region_map(
            *asked(rating=None), None, {"bore": BORES, "print_speed": np.geomspace(3, 40, 24) * mm}, draws=200
        ),
        "speed": region_map(*asked(), None, {"bore": BORES, "print_speed": np.geomspace(3, 40, 24) * mm}, draws=200),
    }


def texts(contents):
    """Return the texts of a picture, lines that stand below each other joined."""
    return " ".join(row["text"] for row in contents.datasets["texts"])


def decoded(contents):
    """Return the raster as shades of its palette, the lowest row first: read back by the PNG standard."""
    raw = base64.b64decode(contents.datasets["picture"][0]["picture"].split(",")[1])
    found, at = {}, 8
    while at < len(raw):
        (length,) = struct.unpack(">I", raw[at : at + 4])
        found[raw[at + 4 : at + 8]] = raw[at + 8 : at + 8 + length]
        at += length + 12
    columns, rows = struct.unpack(">II", found[b"IHDR"][:8])
    picture = np.frombuffer(zlib.decompress(found[b"IDAT"]), np.uint8).reshape(rows, columns + 1)[::-1, 1:]
    return np.frombuffer(found[b"PLTE"], np.uint8).reshape(-1, 3), picture


@pytest.mark.slow
@pytest.mark.parametrize("width", [330, 900])
@pytest.mark.parametrize("page", list(PAGES))
@pytest.mark.parametrize("name", ["probable", "best", "unrated", "speed"])
def test_every_picture_is_valid_on_every_page(maps, name, page, width):
    found = maps[name]
    point = {key: float(values[10]) for key, values in found.axes.items()}
    spec = charts.printable_region(
        found, point, subtitle=["INVENTED readings"], page=page, width=width, cells=6
    ).to_dict()
    assert spec["background"] == PAGES[page].background
    assert spec["config"]["axis"]["labelFontSize"] == TEXT
    assert spec["width"] == width
    assert "INVENTED readings" in spec["title"]["subtitle"]
    assert len(spec["description"]) > 100
    assert spec["params"][0]["name"] == charts.PICK


@pytest.mark.slow
def test_axes_carry_words_and_units(maps):
    spec = charts.printable_region(maps["probable"], cells=4).to_dict()
    titles = {layer["encoding"][a]["title"] for layer in spec["layer"] for a in "xy"}
    assert titles == {"bore at the tip D [mm]", "water content u (dry basis) [-]"}


def lightness(colour):
    c = np.asarray(colour, float) / 255
    return float(np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4) @ [0.2126, 0.7152, 0.0722])


@pytest.mark.parametrize("page", list(PAGES))
def test_shades_run_one_way_in_greyscale_and_stay_legible(maps, page):
    palette, _ = decoded(charts.region_contents(maps["probable"], page=page))
    greys = [lightness(colour) for colour in palette[:250]]
    steps = np.diff(greys)
    assert np.all(steps <= 0) if page == "light" else np.all(steps >= 0)
    ink = lightness([int(PAGES[page].ink[k : k + 2], 16) for k in (1, 3, 5)])
    for grey in (greys[0], greys[-1]):
        low, high = sorted((grey, ink))
        assert (high + 0.05) / (low + 0.05) >= 4.5  # words stand out on every shade (WCAG 2.2, from memory)
    assert SHADE_ENDS[page]


def test_the_raster_shows_the_probability(maps):
    found = maps["probable"]
    _, picture = decoded(charts.region_contents(found))
    rows, columns = picture.shape
    seen = 0
    for i in (3, 9, 15, 20):
        for j in (8, 12, 17, 22):
            across, up = share_of(found, {"bore": BORES[j], "water_content": WATER[i]})
            shade = picture[int(up * rows), int(across * columns)]
            if shade < 250:
                seen += 1
                assert shade / 249 == pytest.approx(found.probability[i, j], abs=0.04)
    assert seen > 8


def test_what_is_stopped_is_blank_outlined_and_named_and_never_averaged(maps):
    found = maps["unrated"]
    contents = charts.region_contents(found)
    _, picture = decoded(contents)
    refused = found.holds["rated pressure"] < 0.975
    assert refused.any()
    assert not refused.all()
    inside = np.argwhere(refused[:-1, :-1] & refused[1:, :-1] & refused[:-1, 1:] & refused[1:, 1:])
    for i, j in inside[::7]:
        up, across = (i + 0.5) / 23, (j + 0.5) / 23
        assert picture[int(up * picture.shape[0]), int(across * picture.shape[1])] >= 252
    assert {row["kind"] for row in contents.datasets["lines"]} >= {"stopped"}
    assert "stopped: pressure in the barrel" in texts(contents)
    assert "stopped: pressure in the barrel" in contents.words
    # next to what is stopped the shade is that of the neighbours that may print, not drawn down to the 0 that stands for it
    even = Shapes(replace(found, probability=np.where(refused, 0.0, 0.8))).fine_shade
    assert even[~np.isnan(even)] == pytest.approx(0.8)


def test_contours_lie_where_the_map_has_their_level(maps):
    found = maps["probable"]
    rows = [row for row in charts.region_contents(found).datasets["lines"] if row["kind"] == "second level"]
    assert len(rows) > 10
    material, extruder, job = asked()
    for row in rows[5:-5:9]:
        axes = {"bore": [row["x"] * mm], "water_content": [row["y"]]}
        here = region_map(material, extruder, job, None, axes, draws=200).probability[0, 0]
        assert here == pytest.approx(0.5, abs=0.02)


def test_contours_and_zones_are_named_in_the_picture(maps):
    said = texts(charts.region_contents(maps["probable"], POINT))
    for wanted in ("10 %", "50 %", "lean:", "drive force"):
        assert wanted in said
    said = texts(charts.region_contents(maps["best"], POINT))
    for wanted in ("× 1", "× 0.8", "every limit judged holds"):
        assert wanted in said


@pytest.mark.parametrize("name", ["probable", "unrated", "speed"])
def test_zones_are_those_of_the_limit_that_stops_first(maps, name):
    found, zones = maps[name], Shapes(maps[name]).zones
    first = found.most_likely_first
    for limit, zone in zones.items():
        up, across = np.nonzero(zone)
        if limit == EVERYTHING_HOLDS or len(up) < 400:
            continue
        k = len(up) // 2
        i, j = (round((place + 0.5) / FINE * 23) for place in (up[k], across[k]))
        near = first[max(i - 1, 0) : i + 2, max(j - 1, 0) : j + 2]
        assert limit in near
    whole = np.sum(list(zones.values()), axis=0)
    assert whole.max() == 1, "zones do not overlap"


def test_extrapolation_is_hatched_and_said(maps):
    found = maps["speed"]
    assert found.extrapolated.any()
    assert not found.extrapolated.all()
    contents = charts.region_contents(found, subtitle=["paste"])
    assert contents.subtitle == ["paste"], "a line that comes and goes moves the picture"
    assert "extrapolated" in texts(contents)
    assert "the law is extrapolated" in contents.words
    _, picture = decoded(contents)
    assert (picture == 251).sum() > 50
    inside = region_map(*asked(), None, {"bore": BORES[12:18], "water_content": WATER[:4]}, draws=50)
    assert not inside.extrapolated.any()
    contents = charts.region_contents(inside)
    assert contents.subtitle == []
    assert "extrapolated" not in texts(contents) + contents.words


def test_the_pointer_is_told_every_margin_and_the_probability(maps):
    found = maps["probable"]
    rows = charts.region_contents(found, cells=24).datasets["fields"]
    assert len(rows) == 24 * 24
    row = rows[5 * 24 + 17]
    assert (row["x"], row["y"]) == (pytest.approx(BORES[17] / mm, rel=1e-4), pytest.approx(WATER[5], rel=1e-4))
    assert row["shade"] == pytest.approx(found.probability[5, 17], abs=5e-4)
    case = Case.of(*asked())
    for name, value in (("bore", BORES[17]), ("water_content", WATER[5])):
        case = AXES[name].set(case, value)
    rooms = sorted((math.exp(float(LIMITS[limit.name].margin(case))), limit.name) for limit in found.limits)
    for place, (room, name) in enumerate(rooms[:2]):  # the two that are nearest, so that six lines say all
        assert row[f"room_{place}"].startswith(f"{name}, {room:.2g} times")
        assert ("broken" in row[f"room_{place}"]) == (room < 1 and not LIMITS[name].advice)


def test_words_say_where_it_is_best_and_what_comes_first(maps):
    found = maps["probable"]
    said = charts.region_contents(found, POINT).words
    best = np.unravel_index(np.argmax(found.probability), found.shape)
    assert (
        f"the probability is greatest, {found.probability[best]:.2f}, with bore at the tip D {BORES[best[1]] / mm:.3g} mm"
        in said
    )
    assert "lean: height before the wall leans" in said
    assert (
        said.endswith("Marked: bore at the tip D 1.60 mm, water content u (dry basis) 1.")
        or "Marked: bore at the tip D 1.6 mm" in said
    )


def test_shares_and_edges_are_inverse(maps):
    found = maps["probable"]
    share = share_of(found, POINT)
    assert edge_of(found, [share])[0] == pytest.approx([1.6, 1.0])
    assert edge_of(found, [[0, 0], [1, 1]]) == pytest.approx(np.array([[0.6, 0.8], [4, 1.4]]))


def test_words_stand_inside_their_zone_and_not_on_each_other():
    zone = np.zeros((FINE, FINE), bool)
    zone[40:120, 20:140] = True
    across, up = box_place(zone, (0.2, 0.1))
    assert up == pytest.approx(0.5, abs=0.02)
    assert 20 / FINE + 0.1 <= across <= 140 / FINE - 0.1
    assert box_place(zone, (0.9, 0.1)) is None
    places = Places((600, 440))
    first, second = (places.inside(zone, [["a zone"]]) for _ in range(2))
    wide, tall = places.size(["a zone"])
    assert (
        abs(first.centre[0] - second.centre[0]) * 600 >= wide - 8
        or abs(first.centre[1] - second.centre[1]) * 440 >= tall - 8
    )
    tiny = np.zeros((FINE, FINE), bool)
    tiny[:6, :6] = True
    beside = places.beside(tiny, [["stopped"]])
    assert beside.leader[1] == pytest.approx([0.02, 0.02], abs=0.02)
    off = np.abs(beside.leader[0] - beside.centre) * (600, 440) / np.array(places.size(["stopped"]))
    assert max(off) == pytest.approx(0.5)  # it begins at the edge of its words, and strikes through none
    words = Places((600, 440))
    wide, tall = words.size(["every limit holds"])
    words.take((0.12, 0.12), wide, tall)  # stands between the zone and where the way out would be shortest
    around = words.beside(tiny, [["stopped"]])
    across, up = (np.abs(np.linspace(*around.leader, 50) - (0.12, 0.12)) * (600, 440)).T
    assert not ((across < wide / 2 - 4) & (up < tall / 2 - 4)).any()  # its leader goes around the words
    assert not words.free[
        tuple((np.mean(around.leader, axis=0)[::-1] * FINE).astype(int))
    ]  # and no later word stands on it
    assert broken("height before the wall leans")[1] == ["height before", "the wall leans"]


def test_what_is_no_map_is_refused(maps):
    with pytest.raises(rk.DataError, match=r"is no region map; give what rk\.region_map returned"):
        charts.printable_region({"bore": 1})
    one = region_map(*asked(), None, {"bore": [1 * mm], "print_speed": [10 * mm]})
    assert isinstance(one, RegionMap)
    with pytest.raises(rk.DataError, match="needs two values at least"):
        charts.printable_region(one)
    with pytest.raises(rk.DataError, match="page = 'sepia'"):
        charts.printable_region(replace(maps["best"]), page="sepia")
