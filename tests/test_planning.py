"""Windows, widest margins and better measurements, each against a plain loop over single points."""

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import rheokit as rk
from rheokit.limits import LIMITS, Case, judge, sure
from rheokit.limits.sure import sure_errors
from rheokit.planning import ALL, BATCH, LAW, chance, in_a_word, in_words, what_if, widest_margin, window, windows
from rheokit.regions import AXES, bands, joined, region_map
from rheokit.regions.blocks import refused
from rheokit.sampling import Normals
from rheokit.units import kPa, mm
from rheokit.widgets.region.words import what_if_words

OLIVE = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
NAMES = ("rated pressure", "lean", "clog", "drive force", "layer height", "line width", "stack")


def material(**changes):
    paste = rk.Paste(
        law=OLIVE,
        density=1110.0,
        modulus=25e3,
        grain_size=180e-6,
        water_content=1.045,
        water_slope=3.23,
        air_content=0.03,
    )
    settings = {
        "paste": paste,
        "batch_spread": 0.15,
        "law_spreads": {"consistency": 0.10, "flow_index": 0.02},
        "rate_range": (3.6, 285.0),
        "yield_read": True,
    }
    return rk.Material(**(settings | changes))


def rig(force=60.0, rating=1000 * kPa):
    drive = rk.ScrewDrive(torque=force * 2e-3 / (2 * math.pi * 0.25), lead=2e-3, efficiency=0.25)
    nozzle = rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=12 * mm))
    return rk.Extruder(
        barrel_diameter=26.7 * mm,
        fill_length=60 * mm,
        plunger_friction=8.0,
        nozzle=nozzle,
        drive=drive,
        pressure_rating=rating,
    )


def job(**changes):
    settings = {"print_speed": 15 * mm, "layer_height_to_bore": 0.6, "line_width_to_bore": 1.22, "part_height": 15 * mm}
    return rk.PrintJob(**(settings | changes))


ASKED = (material(), rig(), job())
STEPS = pytest.mark.filterwarnings("ignore:somewhere on the map, converging flow", "ignore:converging flow")


def holds_at(names, **values):
    """Return whether all limits hold at one point with best values, and the one with the least room: no map."""
    case = Case.of(*ASKED)
    for key, value in values.items():
        case = AXES[key].set(case, value)
    margins = {name: float(LIMITS[name].margin(case)) for name in names}
    return min(margins.values()), min(margins, key=margins.get)


@pytest.mark.slow
@STEPS
@pytest.mark.parametrize(
    ("axis", "held"),
    [
        ("bore", {}),
        ("water_content", {"bore": 2.4 * mm}),
        ("part_height", {"bore": 2.4 * mm}),
        ("print_speed", {"bore": 2.4 * mm, "part_height": 5 * mm}),
    ],
)
def test_a_window_is_that_of_a_plain_loop(axis, held):
    """Kind: independent. Six hundred points asked one at a time."""
    about = AXES[axis]
    low, high = (about.low * about.scale, about.high * about.scale) if axis != "print_speed" else (3 * mm, 400 * mm)
    values = (np.geomspace if about.logarithmic else np.linspace)(low, high, 600)
    inside = [holds_at(NAMES, **held, **{axis: value}) for value in values]
    will_do = [value for value, (room, _) in zip(values, inside, strict=True) if room >= 0]
    found = window(*ASKED, axis, low, high, NAMES, held=held)
    step = values[1] / values[0] - 1 if about.logarithmic else values[1] - values[0]
    near = {"rel": 1.5 * step} if about.logarithmic else {"abs": 1.5 * step}
    assert found.is_open
    assert found.low == pytest.approx(will_do[0], **near)
    assert found.high == pytest.approx(will_do[-1], **near)
    before, after = int(np.searchsorted(values, will_do[0])) - 1, int(np.searchsorted(values, will_do[-1])) + 1
    assert found.stops_low == ("" if before < 0 else inside[before][1])
    assert found.stops_high == ("" if after >= len(values) else inside[after][1])
    for stop in filter(None, (found.stops_low, found.stops_high)):
        assert f"{stop} ({LIMITS[stop].label})" in str(found)


@pytest.mark.slow
@STEPS
@pytest.mark.parametrize(
    ("axis", "held"), [("bore", {}), ("water_content", {"bore": 3.6 * mm}), ("part_height", {"bore": 3.0 * mm})]
)
def test_a_window_of_nine_in_ten_is_that_of_points_asked_one_by_one(axis, held):
    """Kind: independent of the search. Each of 80 values on a map of its own, with the same draws."""
    about = AXES[axis]
    values = (np.geomspace if about.logarithmic else np.linspace)(about.low * about.scale, about.high * about.scale, 80)
    likely = [float(chance(*ASKED, NAMES, 400, 3, {**held, axis: value}).probability[0, 0]) for value in values]
    will_do = [value for value, share in zip(values, likely, strict=True) if share >= 0.9]
    found = window(*ASKED, axis, limits=NAMES, probability=0.9, draws=400, seed=3, held=held)
    assert found.is_open == bool(will_do)
    assert found.best_probability >= max(likely) - 0.01
    ratio = values[1] / values[0] if about.logarithmic else 1 + (values[1] - values[0]) / values[0]
    assert will_do[0] / ratio <= found.low <= will_do[0] * 1.0001
    assert will_do[-1] / 1.0001 <= found.high <= will_do[-1] * ratio
    assert "90 of 100 cases" in str(found)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_what_stops_a_setting_is_what_the_setting_moves():
    """Kind: independent of the search. Shares of two points asked one by one: which limit fails so much oftener at the end than at the best value."""
    book = rk.Workbook.open(Path(rk.__file__).parent.parent / "data" / "olive-stone-paste")
    asked = book.material, book.extruder, book.job
    found = window(*asked, "bore", probability=0.9, draws=400)
    failed = [
        {
            name: 1 - float(np.ravel(share)[0])
            for name, share in chance(*asked, None, 400, 0, {"bore": at}).holds.items()
        }
        for at in (found.best, found.low * 0.98)
    ]
    grown = {name: failed[1][name] - failed[0][name] for name in failed[0]}
    often = max(failed[1], key=failed[1].get)
    assert found.stops_low == max(grown, key=grown.get) == "lean" != often == "line width"
    assert (
        "lean (height before the wall leans) stops it (line width (line width over bore) fails there more often, but"
        in str(found)
    )
    assert found.stops_high == "" and "where the search ended" in str(found)


def test_of_limits_that_a_setting_does_not_move_the_one_met_stays():
    at = SimpleNamespace(shape=(1, 2), holds={"a": np.array([[0.9, 0.9]]), "b": np.array([[0.99, 0.93]]), "c": np.nan})
    assert windows._moved(at, True, "a") == "b" and windows._moved(at, False, "a") == "a"


@STEPS
def test_no_window_says_how_near_one_comes_and_what_stops_it():
    found = window(*ASKED, "water_content", limits=NAMES, probability=0.9, draws=400, held={"bore": 1.6 * mm})
    assert not found.is_open
    assert math.isnan(found.low)
    assert math.isnan(found.high)
    best = float(chance(*ASKED, NAMES, 400, 0, {"bore": 1.6 * mm, "water_content": found.best}).probability[0, 0])
    assert found.best_probability == pytest.approx(best, abs=1e-9)
    assert found.stops_low in ("lean", "drive force")
    assert str(found).startswith(
        "Water content u (dry basis): none from 0.8 to 1.4 will do in 90 of 100 cases (at most in "
    )


@pytest.mark.slow
@STEPS
def test_a_window_narrower_than_the_first_sweep_is_found():
    """A drive and a wall that leave 1 % of the range of the water content."""

    def room(water, force):
        case = AXES["water_content"].set(AXES["bore"].set(Case.of(ASKED[0], rig(force), ASKED[2]), 2.4 * mm), water)
        return min(float(LIMITS[name].margin(case)) for name in ("lean", "drive force"))

    wet = max(water for water in np.linspace(0.8, 1.4, 6001) if room(water, 1e4) >= 0)  # the wall closes it here
    force = next(
        force for force in np.linspace(20, 80, 6001) if room(wet - 0.002, force) >= 0
    )  # and the drive 0.002 drier
    found = window(
        ASKED[0],
        rig(force),
        ASKED[2],
        "water_content",
        wet - 0.3,
        wet + 0.29,
        ("lean", "drive force"),
        held={"bore": 2.4 * mm},
    )
    assert found.is_open
    assert found.high - found.low == pytest.approx(0.002, abs=0.0003)
    assert (found.stops_low, found.stops_high) == ("drive force", "lean")


@pytest.mark.slow
@STEPS
def test_widest_margin_is_that_of_a_plain_loop():
    """Kind: independent. Every point of a grid asked alone, then a finer one about the best."""
    ends = {"bore": (1.0 * mm, 4.0 * mm), "water_content": (0.8, 1.4)}
    best, (low, high), (dry, wet) = None, ends["bore"], ends["water_content"]
    for _ in range(3):
        points = [(b, u) for b in np.linspace(low, high, 25) for u in np.linspace(dry, wet, 25)]
        rooms = [holds_at(NAMES, bore=b, water_content=u)[0] for b, u in points]
        best, (bore, water) = max(rooms), points[int(np.argmax(rooms))]
        low, high = max(1.0 * mm, bore - (high - low) / 12), min(4.0 * mm, bore + (high - low) / 12)
        dry, wet = max(0.8, water - (wet - dry) / 12), min(1.4, water + (wet - dry) / 12)
    found = widest_margin(*ASKED, ends, NAMES)
    assert found["margin"] == pytest.approx(best, abs=0.002)
    assert holds_at(NAMES, bore=found["bore"], water_content=found["water_content"]) == (
        pytest.approx(found["margin"]),
        found["limited_by"],
    )
    assert f"a factor {math.exp(found['margin']):.3g} of room" in found["words"]


@STEPS
def test_bounds_where_nothing_will_do_are_said_so():
    found = widest_margin(*ASKED, {"bore": (0.6 * mm, 1.0 * mm), "water_content": (0.8, 1.4)}, NAMES)
    assert found["margin"] < 0
    assert found["words"].startswith("Nothing within these bounds will do; the least miss is with bore at the tip D ")


@STEPS
def test_what_is_held_is_what_a_paste_and_a_job_of_their_own_would_be():
    """Kind: exact. Held values against the same values built in from the start."""
    axes = {"bore": np.array([1.2, 2.4]) * mm, "part_height": np.array([10, 20]) * mm}
    held = {"print_speed": 8 * mm, "water_content": 1.1, "layer_height": 1 * mm}
    found = region_map(*ASKED, NAMES, axes, draws=200, seed=2, held=held)
    own = material(paste=replace(material().paste.at_water(1.1)), spreads={"water_slope": 0.0})
    direct = region_map(
        own, rig(), job(print_speed=8 * mm, layer_height_to_bore=None, layer_height=1 * mm), NAMES, axes
    )
    for name in NAMES:
        np.testing.assert_allclose(
            np.broadcast_to(found.margins[name], (2, 2)), np.broadcast_to(direct.margins[name], (2, 2)), rtol=1e-12
        )
    with pytest.raises(rk.DataError, match="'bore' cannot be held"):
        region_map(*ASKED, NAMES, axes, held={"bore": 1 * mm})


@STEPS
def test_the_yield_stress_that_is_set_stands_whatever_the_water_was():
    """Kind: exact. Two axes that both move the yield stress: the last one decides, with best values and with draws alike."""
    still = material(
        batch_spread=0.0,
        law_spreads={},
        spreads=dict.fromkeys(("static_ratio", "density", "surface_tension", "water_slope"), 0.0),
    )
    axes = {"water_content": np.array([0.9, 1.3]), "stiffness": np.array([300.0, 900.0])}
    names = ("line holds",)
    found = region_map(still, rig(), job(), names, axes, draws=400)
    margin = np.broadcast_to(found.margins["line holds"], (2, 2))
    assert margin[:, 0] == pytest.approx(margin[:, 1])
    assert margin[1, 0] - margin[0, 0] == pytest.approx(math.log(3))
    assert found.holds["line holds"][:, 0] == pytest.approx(found.holds["line holds"][:, 1])


@STEPS
def test_bands_make_the_map_that_is_computed_whole():
    """Kind: exact."""
    axes = {"bore": np.linspace(1.2, 3, 5) * mm, "water_content": np.linspace(0.8, 1.4, 7)}
    whole = region_map(*ASKED, None, axes, draws=60)
    parts = joined([region_map(*ASKED, None, band, draws=60) for band in bands(axes, 3)])
    assert parts.shape == whole.shape
    np.testing.assert_array_equal(parts.probability, whole.probability)
    np.testing.assert_allclose(parts.margin, whole.margin, rtol=1e-9)
    np.testing.assert_array_equal(parts.most_likely_first, whole.most_likely_first)
    assert parts.notes == whole.notes


@STEPS
def test_what_if_is_the_chance_of_a_material_known_better():
    """Kind: independent. The same probability from a material that is written down with the smaller spread."""
    at = {"bore": 3.0 * mm}
    table = what_if(*ASKED, NAMES, draws=1500, held=at).set_index("name")
    now = float(chance(*ASKED, NAMES, 1500, 0, at).probability[0, 0])
    assert set(table.probability) == {now}
    sharper = float(chance(material(spreads={"modulus": 0.1}), rig(), job(), NAMES, 1500, 0, at).probability[0, 0])
    assert table.loc["modulus", "probability_then"] == sharper != now
    assert table.loc["modulus", "spread"] == 0.35
    alike = float(chance(material(batch_spread=0.0), rig(), job(), NAMES, 1500, 0, at).probability[0, 0])
    assert table.loc[BATCH, "probability_then"] == alike
    assert not table.loc[BATCH, "reducible"]
    assert table.drop(BATCH).reducible.all()
    assert "grain_size" not in table.index  # already known to 10 %
    assert abs(table.loc[ALL, "probability_then"] - 0.5) > abs(now - 0.5)


@STEPS
def test_what_if_sharpens_the_draws_of_a_fit():
    """Kind: exact. Draws of a law 30 % apart in yield stress are drawn together to 10 %, and no best value moves."""

    def draws(count, seed):
        normal = np.random.default_rng(seed).standard_normal(count)[:, None, None]
        return rk.HerschelBulkley(
            yield_stress=650 * np.exp(0.3 * normal), consistency=210.0, flow_index=0.38
        ), 1.3 * np.exp(0.4 * normal)

    fitted = material(law_spreads={}, law_draws=draws, origins={"static_ratio": "fitted"})
    table = what_if(fitted, rig(), job(), ("drive force", "line holds"), draws=500, held={"bore": 1.6 * mm}).set_index(
        "name"
    )
    assert table.loc[LAW, "spread"] == pytest.approx(0.3, rel=0.1)
    assert table.loc["static_ratio", "spread"] == pytest.approx(0.4, rel=0.1)
    share = 0.1 / table.loc[LAW, "spread"]

    def nearer(count, seed):
        law, ratio = draws(count, seed)
        return replace(law, yield_stress=650 * (law.yield_stress / 650) ** share), ratio

    then = chance(
        replace(fitted, law_draws=nearer), rig(), job(), ("drive force", "line holds"), 500, 0, {"bore": 1.6 * mm}
    )
    assert table.loc[LAW, "probability_then"] == float(then.probability[0, 0]) != table.loc[LAW, "probability"]


@pytest.fixture
def nearly():
    """Material, extruder and job of a barrel that bears the pressure by its own spread alone, and not in 97.5 of 100 draws."""
    return material(), rig(rating=229.8 * kPa), job(part_height=5 * mm)


@STEPS
@pytest.mark.parametrize(("rating", "stops"), [(229.8, True), (236.0, False)])
def test_a_case_alone_is_stopped_where_its_chance_is(rating, stops):
    """Kind: independent. What 97.5 of 100 pressures stay below is read off the sorted draws."""
    asked = material(), rig(rating=rating * kPa), job(part_height=5 * mm)
    alone, best, limit = chance(*asked, draws=1000), Case.of(*asked), LIMITS["rated pressure"]
    case, normals = sure(best, asked[0]), Normals(1000, 0)
    drawn = best.drawn(asked[0].draws(1000, 0), normals, asked[0].rig(asked[1], 1000, 0))
    pressures = np.sort((limit.value(drawn) * np.exp(limit.drawn_error(drawn, normals))).ravel())
    assert float(limit.value(best)) * math.exp(limit.allowance(case)) == pytest.approx(pressures[-26], rel=1e-9)
    assert limit.margin(best) > 0 and (pressures[-26] > rating / 2 * kPa) is np.bool_(stops)
    row = judge(case).loc["rated pressure"]
    assert (row.verdict == "broken") is stops is ([one.name for one in alone.refused] == ["rated pressure"])
    assert "for the median batch, up to 11" in row.words and "in 97.5 of 100 next batches, law and" in row.words
    own = {name: float(values[0]) for name, values in alone.axes.items()}
    assert judge(alone.at(**own)).loc["rated pressure", "margin"] == pytest.approx(row.margin, rel=1e-9)
    assert alone.margins["rated pressure"][0, 0] == pytest.approx(row.margin, rel=1e-9)
    assert not alone.at(bore=2 * mm).kept_free, "elsewhere other draws decide"
    said = f"stopped: pressure in the barrel must hold in 97.5 of 100 cases and holds in {100 * alone.holds[limit.name][0, 0]:.0f}."
    often = f"every limit judged holds in {100 * alone.probability[0, 0]:.0f} of 100 cases."
    assert in_words(alone) == f"{said if stops else often} {alone.unjudged}"


def test_a_hard_limit_that_just_holds_is_not_refused():
    """Kind: exact. 975 of 1000 are 97.5 of 100, and 974 are not."""
    assert list(refused(np.array([974, 975, 976]) / 1000)) == [True, False, False]


@STEPS
def test_what_stops_a_whole_window_is_said_with_how_often_it_holds(nearly):
    found = window(*nearly, "part_height", probability=0.9)
    share = 100 * float(chance(*nearly, draws=1000).holds["rated pressure"][0, 0])
    told = f"(pressure in the barrel) must hold in 97.5 of 100 cases and holds in {share:.0f}, which does not depend on it."
    assert told in found.words and "at most in" not in found.words
    assert (found.is_open, found.best_probability, found.stops_low) == (False, 0.0, "rated pressure")


@STEPS
def test_what_if_says_what_stops_it_now_and_then(nearly):
    table = what_if(*nearly, draws=1000).set_index("name")
    assert set(table.stopped) == {"pressure in the barrel"}
    assert table.loc[BATCH, "stopped_then"] == "" and table.loc[BATCH, "probability_then"] > 0
    assert table.loc["modulus", "stopped_then"] == "pressure in the barrel"
    said = what_if_words(table.reset_index(), 0.1)
    assert f"stopped (pressure in the barrel) → {100 * table.loc[BATCH, 'probability_then']:.0f} of 100" in said


@pytest.mark.parametrize(
    ("probability", "word"),
    [
        (1.0, "likely"),
        (0.9, "likely"),
        (0.89, "possible"),
        (0.5, "possible"),
        (0.49, "doubtful"),
        (0.1, "doubtful"),
        (0.09, "unlikely"),
        (0.0, "unlikely"),
    ],
)
def test_words_for_probabilities(probability, word):
    assert in_a_word(probability) == word
    assert in_a_word(probability, refused=True) == "stopped"


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: window(*ASKED, "colour"), "'colour' is no axis"),
        (lambda: window(*ASKED, "bore", 2 * mm, 1 * mm), r"low = 0\.002 must be below high = 0\.001"),
        (
            lambda: window(*ASKED, "bore", probability=90),
            r"probability = 90 must be from 0 to 1 \(did you mean 90 %\? That is 0\.9\)",
        ),
        (lambda: widest_margin(*ASKED, {"bore": (1 * mm, 2 * mm)}), "bounds must name two of"),
        (lambda: what_if(*ASKED, spread=10), "spread = 10 must lie between 0 and 1"),
    ],
)
def test_questions_that_cannot_be(call, words):
    with pytest.raises(rk.DataError, match=words):
        call()


# --- what is not known --------------------------------------------------------------------------------------------


def with_paste(**changes):
    return material(paste=replace(material().paste, **changes)), *ASKED[1:]


def test_a_window_is_refused_where_what_ends_it_could_not_be_judged():
    """A part's height without a density: nothing that is judged depends on it."""
    with pytest.raises(rk.DataError) as caught:
        window(*with_paste(density=None), "part_height", limits=NAMES)
    assert str(caught.value) == (
        "window: nothing that could be judged depends on part height H, so what ends its window is not known. Not judged: "
        "lean, stack (density not known). Judged in part: clog (largest grain not known). Give what is missing, or ask "
        "another axis."
    )


@STEPS
def test_a_window_is_refused_where_what_was_not_judged_would_end_it_sooner():
    """Without a modulus the foot of the wall alone would allow several times the height at which such a wall leans."""
    asked = with_paste(modulus=None)
    with pytest.raises(rk.DataError) as caught:
        window(*asked, "part_height", limits=NAMES)
    assert str(caught.value) == (
        "window: Part height H: not known, since what would end its window could not be judged: lean (modulus not known). "
        "Give what is missing, or leave that limit out on purpose."
    )
    without = window(*asked, "part_height", limits=[name for name in NAMES if name != "lean"])
    assert without.high == pytest.approx(100 * mm) and "lean" not in without.words
    with pytest.raises(rk.DataError, match=r"Bore at the tip D: not known, .* drive force \(no drive\)"):
        window(asked[0], replace(ASKED[1], drive=None), ASKED[2], "bore", limits=NAMES)


@STEPS
def test_a_window_names_what_could_not_be_judged():
    low = 5 * mm  # a wall that stands whatever its modulus
    found = window(*with_paste(modulus=None), "air_content", limits=NAMES, held={"bore": 2.4 * mm, "part_height": low})
    assert found.is_open
    assert found.unjudged == "Not judged: lean (modulus not known). Judged in part: clog (largest grain not known)."
    assert str(found).endswith(f"{found.unjudged} The window may be narrower.")
    best = widest_margin(*with_paste(modulus=None), {"bore": (1 * mm, 4 * mm), "print_speed": (5 * mm, 20 * mm)}, NAMES)
    assert best["words"].endswith(found.unjudged)
    assert chance(*with_paste(modulus=None), NAMES, 50).unjudged == found.unjudged
    complete = window(*with_paste(largest_grain=200e-6), "part_height", limits=NAMES, held={"bore": 2.4 * mm})
    assert complete.unjudged == "" and "narrower" not in str(complete)


@STEPS
def test_windows_begin_with_what_the_fit_warns_of():
    warned = replace(material(), caveats=("9 of 22 checks failed: not to be used.",)), *ASKED[1:]
    for words in (
        str(window(*warned, "bore", limits=NAMES)),
        str(window(*warned, "water_content", limits=NAMES, held={"bore": 1.6 * mm, "part_height": 50 * mm})),
        widest_margin(*warned, {"bore": (1 * mm, 4 * mm), "print_speed": (5 * mm, 20 * mm)}, NAMES)["words"],
        region_map(*warned, NAMES, {"bore": [2 * mm], "print_speed": [9 * mm]}).notes[0],
    ):
        assert words.startswith("9 of 22 checks failed: not to be used.")


@pytest.mark.parametrize(
    ("axis", "own", "ends"),
    [
        ("water_content", 1.045, (0.8, 1.4)),
        ("water_content", 0.4, (0.4 / 1.75**0.5, 0.4 * 1.75**0.5)),
        ("water_content", 9.0, (9.0 / 1.75**0.5, 9.0 * 1.75**0.5)),
        ("print_speed", 60 * mm, (3 * mm, 60 * mm * (40 / 3) ** 0.5)),
        ("bore", 0.4 * mm, (0.4 * mm / (4 / 0.6) ** 0.5, 4 * mm)),
        ("air_content", 0.1, (0.0, 0.2)),
        ("part_height", 150 * mm, (5 * mm, 150 * mm * 20**0.5)),
    ],
)
def test_the_usual_range_covers_the_own_value(axis, own, ends):
    """Kind: exact. As far from the own value, as a ratio, as the usual range reaches from its middle."""
    span = AXES[axis].span(AXES[axis].set(Case.of(*ASKED), own))
    assert span == pytest.approx(ends)
    assert span[0] <= own <= span[1]


@STEPS
@pytest.mark.parametrize("water", [0.4, 9.0])
def test_a_window_of_water_looks_about_the_paste_s_own(water):
    """The slope scaled with the water, the same paste: its window is the same share of its water."""
    own = with_paste(water_content=water, water_slope=3.23 * 1.045 / water)
    found = window(*own, "water_content", limits=NAMES, held={"bore": 2.4 * mm})
    usual = window(*ASKED, "water_content", 1.045 / 1.75**0.5, 1.045 * 1.75**0.5, NAMES, held={"bore": 2.4 * mm})
    assert found.is_open
    assert np.divide([found.low, found.high], water) == pytest.approx(
        np.divide([usual.low, usual.high], 1.045), rel=0.01
    )


def test_air_that_is_not_known_leaves_the_density_that_was_measured():
    paste = material(paste=replace(material().paste, air_content=None)).paste
    case = AXES["air_content"].set(Case.of(*with_paste(air_content=None)), 0.05)
    assert case.paste.density == paste.density
    assert AXES["air_content"].set(Case.of(*ASKED), 0.05).paste.density == pytest.approx(1110 * 0.95 / 0.97)


@pytest.mark.slow
@STEPS
def test_the_end_of_a_hard_limit_says_how_far_its_draws_let_it_scatter():
    """Kind: counted. Over 60 sets of draws the end below which 97.5 of 100 pressures stay scatters as its standard error says."""
    asked = material(), rig(rating=236.0 * kPa), job(part_height=5 * mm)
    best = Case.of(*asked)
    ends = [sure(best, asked[0], 300, seed).kept_free["rated pressure"] for seed in range(60)]
    told = np.mean([sure_errors(best, asked[0], 300, seed)["rated pressure"] for seed in range(60)])
    assert 0.6 < told / np.std(ends) < 1.7
