"""What to measure first: every kind says how it is made, and the list is one that a bench can follow.

Kind       a contract for every kind that is found; expected readings by hand and by the test's own inverse; the order by cases.
"""

import re

import numpy as np
import pytest

import rheokit as rk
from rheokit.bench import KINDS
from rheokit.bench.tools import EVERYWHERE, TOOLS, missing, tools_of
from rheokit.bench.usual import protocol_of, usual_properties, usual_readings, usual_record
from rheokit.planning import FEELS, LIQUIDS
from rheokit.planning.legible import legible

KITCHEN = ["scale", "ruler", "syringe", "cup"]
ASKED = [*KITCHEN, "oven", "viscometer"]

every_kind = pytest.mark.parametrize("kind", KINDS)
every_law_kind = pytest.mark.parametrize("kind", [kind for kind in KINDS if not KINDS[kind].gives])
every_property_kind = pytest.mark.parametrize("kind", [kind for kind in KINDS if KINDS[kind].gives])
every_feel = pytest.mark.parametrize("feel", FEELS)
every_liquid = pytest.mark.parametrize("feel", LIQUIDS)


def law(yield_stress):
    return rk.HerschelBulkley(yield_stress=yield_stress, consistency=0.3 * yield_stress, flow_index=0.4)


# --- what every kind says ---------------------------------------------------------------------------------------------


@every_kind
def test_a_kind_says_what_it_is_made_with_and_how(kind):
    cls, said = KINDS[kind], protocol_of(KINDS[kind])
    assert cls.tools, "tools = (...): what it is made with"
    assert {one for tool in cls.tools for one in ([tool] if isinstance(tool, str) else tool)} <= set(TOOLS)
    assert 2 <= len(re.findall(r"[.?](?: |$)", said)) <= 5, "protocol: two to four sentences, and a hint"
    assert said.endswith(".")
    assert not cls.caution or cls.caution.endswith("."), "caution: sentences"


@every_kind
def test_numbers_of_a_protocol_are_those_of_its_usual_apparatus(kind):
    named = re.findall(r"{(\w+)}", KINDS[kind].protocol)
    assert set(named) <= set(KINDS[kind].usual)
    assert not re.search(r"\d (mm|mL|g|kg|N|Pa|rad)\b", KINDS[kind].protocol), (
        "say it by {name}, that usual may hold it"
    )


@every_law_kind
def test_the_expected_reading_gives_back_the_yield_stress_that_it_was_expected_of(kind):
    low, high = KINDS[kind].measures
    for stress in np.geomspace(max(low, 1.0), min(high, 5000.0), 5):
        record = usual_record(KINDS[kind], usual_readings(KINDS[kind], law(stress)))
        found, ratio = record.yield_stresses(), 1.3 if record.state == "static" else 1.0
        inside = record.bounds[0] == 0
        if len(found) and inside.all():
            assert found == pytest.approx(np.full(len(found), ratio * stress), rel=1e-6)


@every_law_kind
def test_the_usual_apparatus_reaches_most_of_what_the_kind_measures(kind):
    low, high = max(KINDS[kind].measures[0], 1.0), min(KINDS[kind].measures[1], 5000.0)
    inside = []
    for stress in np.geomspace(low, high, 20):
        readings = usual_readings(KINDS[kind], law(stress))
        inside.append(usual_record(KINDS[kind], readings).bounds[0].any())
    assert np.mean(inside) < 0.35


@every_property_kind
def test_usual_readings_give_properties_in_order(kind):
    found = usual_properties(KINDS[kind])
    assert set(found) & set(KINDS[kind].gives)
    assert any(low < high for low, high in found.values())


def test_expected_readings_by_hand():
    """Kind: independent. Slump 0.1 - 0.1 c t (1 - ln c t) with c t = sqrt3*100/(1150*9.80665*0.1); fall sqrt(k m g/1.3 tau)."""
    (slump,) = usual_readings(KINDS["cylinder slump"], law(100.0))
    t = np.sqrt(3) * 100.0 / (1150 * 9.80665 * 0.1)
    assert slump == pytest.approx(0.1 * (1 - t * (1 - np.log(t))), rel=1e-3)
    (fall,) = usual_readings(KINDS["fall cone"], law(1000.0))
    assert fall == pytest.approx(np.sqrt(0.27 * 0.06 * 9.80665 / 1300.0), rel=1e-3)
    assert usual_readings(KINDS["flow curve"], law(100.0))[1] == pytest.approx(130.0)
    assert usual_properties(KINDS["cup density"])["density"] == pytest.approx((1000.0, 1300.0))
    assert usual_properties(KINDS["oven moisture"])["water_content"] == pytest.approx((8 / 22, 17 / 13))


# --- the list ---------------------------------------------------------------------------------------------------------


@every_feel
@pytest.mark.parametrize("tools", [KITCHEN, ASKED, list(TOOLS)], ids=["kitchen", "asked", "all"])
def test_first_a_yield_stress_then_the_curve_then_properties(tools, feel):
    found = rk.first_tests(tools, feel)
    kinds = [KINDS[kind] for kind in found["kind"]]
    low, high = FEELS[feel]
    assert kinds[0].measures[0] < high and kinds[0].measures[1] > low
    assert not kinds[0].gives
    assert len(usual_record(kinds[0]).shear_rates(law(100.0))) == 0
    curves = [k for k, kind in enumerate(kinds) if not kind.gives and len(usual_record(kind).shear_rates(law(100.0)))]
    properties = [k for k, kind in enumerate(kinds) if kind.gives and not kind.of_apparatus]
    barrel = [k for k, kind in enumerate(kinds) if kind.of_apparatus]
    assert curves and properties
    assert barrel == [min(curves) - 1], "friction first, then the run that needs it"
    assert 0 < min(curves) <= max(curves) < min(properties)
    assert properties == list(range(min(properties), len(kinds)))
    assert len(set(found["kind"])) == len(found)
    assert all(not missing(kind.tools, tools) for kind in kinds)
    for row in found.itertuples():
        assert "a rule of thumb" in row.expected
        assert row.protocol and row.tells and row.watch and row.tools
    assert "rule of thumb" in found.attrs["said"][0]
    assert "no source" in found.attrs["said"][0].replace("without a source", "no source")


@every_liquid
def test_of_a_liquid_first_friction_then_curves_then_properties(feel):
    """The order, and that what is expected of a liquid is expected of its viscosity."""
    found = rk.first_tests(list(TOOLS), feel)
    kinds = [KINDS[kind] for kind in found["kind"]]
    assert kinds[0].of_apparatus
    curves = [kind.kind for kind in kinds if not kind.gives]
    assert {"falling ball", "timed drain", "syringe force", "flow curve", "pressure run"} == set(curves)
    assert list(found["kind"])[1 : 1 + len(curves)] == curves, "what tells the flow, before the properties"
    assert all("if the viscosity is" in row.expected for row in found.itertuples() if row.kind in curves)
    assert "is taken to have a viscosity of" in found.attrs["said"][0]
    assert not any("yield stress" in one for one in found.attrs["said"])
    assert any("three temperatures" in one for one in found.attrs["said"]) == (feel == "sets on cooling")
    ball = found.set_index("kind").tells["falling ball"]  # 0.4*1.301/3 to 0.4*25.6/3 1/s, or 0.4*48.8/3 at 0.5 Pa·s
    assert ball == f"the viscosity at shear rates of 0.17 to {'6.5' if feel == 'sets on cooling' else '3.4'} 1/s"


def test_a_ball_is_expected_to_fall_as_stokes_has_it():
    """3 mm of steel in 30 mm: 6700*9.81*0.003²*0.791681/(18 η) = 26.02 mm/s at 1 Pa·s, less 3/16 of Re = 0.084, and 1.301 at 20 Pa·s."""
    expected = rk.first_tests(["ball", "tube", "ruler", "thermometer"], "pours like honey").set_index("kind").expected
    assert expected["falling ball"].startswith(
        "speed 1.3 to 26 mm/s, if the viscosity is 1 to 20 Pa·s (a rule of thumb for a liquid"
    )


def test_pastes_are_not_asked_for_tests_of_gels_and_liquids_not_for_those_of_pastes():
    for feel in FEELS:
        assert not {"falling ball", "timed drain"} & set(rk.first_tests(list(TOOLS), feel)["kind"])
    assert not {"sieve", "lean height", "loaded plate"} & set(rk.first_tests(list(TOOLS), "sets on cooling")["kind"])


@every_liquid
def test_with_nothing_at_hand_a_liquid_asks_for_what_tells_its_flow(feel):
    said = " ".join(rk.first_tests([], feel).attrs["said"])
    assert "No flow curve can be measured" in said and "The yield stress" not in said


def test_the_first_test_by_feel():
    first = {feel: rk.first_tests([*ASKED, "mould"], feel)["kind"].iloc[0] for feel in FEELS}
    assert first == {
        "pours": "spread",
        "spoons": "cylinder slump",
        "holds a peak": "loaded plate",
        "can be cut": "loaded plate",
    }


def test_expected_readings_are_those_of_the_ends_of_the_feel():
    found = rk.first_tests(KITCHEN, "holds a peak").set_index("kind")
    plate = [usual_readings(KINDS["loaded plate"], law(end))[0] for end in (800.0, 100.0)]
    low, high = (f"{1000 * one:.2g}" for one in plate)
    assert found.expected["loaded plate"].startswith(f"radius {low} to {high} mm, if the yield stress is 100 to 800 Pa")
    assert "force" in found.expected["syringe force"] and "at 100 mm³/s" in found.expected["syringe force"]


def test_a_stiff_paste_in_a_syringe_is_warned_of_with_its_pressure():
    soft, stiff = (
        rk.first_tests(KITCHEN, feel).set_index("kind").caution["syringe force"] for feel in ("pours", "can be cut")
    )
    assert "no pressure rating" in soft and "is expected" not in soft
    force = usual_readings(KINDS["syringe force"], law(5000.0)).max()
    pressure = (force - 5.0) / (np.pi * 0.02**2 / 4)
    assert f"Here up to {pressure / 1000:.0f} kPa is expected, and 100 kPa is the most" in stiff


def test_an_empty_barrel_is_asked_for_by_a_syringe_alone():
    assert "empty barrel" in list(rk.first_tests(KITCHEN, "spoons")["kind"])
    assert "empty barrel" not in list(rk.first_tests(["scale", "syringe", "viscometer"], "spoons")["kind"])


def test_words_in_any_order_and_case_and_by_their_other_names():
    plain = rk.first_tests(["scale", "ruler", "viscometer"], "spoons")
    other = rk.first_tests([" Rheometer", "RULER", "scales", "watch"], " Spoons ")
    assert plain.equals(other)
    assert rk.first_tests("viscometer, ruler, scale", "spoons").equals(plain)


def test_words_that_are_none_are_refused_with_the_nearest():
    with pytest.raises(rk.DataError, match="first_tests: 'rular' is no tool; did you mean 'ruler'"):
        rk.first_tests(["scale", "rular"], "spoons")
    with pytest.raises(rk.DataError, match="first_tests: 'peak' is no feel; did you mean 'holds a peak'"):
        rk.first_tests(["scale"], "peak")
    with pytest.raises(rk.DataError, match=r"first_tests: 5 is no tool; give words"):
        rk.first_tests([5], "spoons")
    with pytest.raises(TypeError, match="first_tests: feel is None; give a word"):
        rk.first_tests(["scale"], None)
    with pytest.raises(TypeError, match=r"first_tests: tools is 3; give words, such as \['scale', 'ruler'\]"):
        rk.first_tests(3, "pours")


def test_a_reading_that_would_be_a_bound_is_not_expected():
    """3 x 5 mL/π make a plate of 16.84 mm three gaps high; 9.80665 N on it are 11.0086 kPa, over C + 2/3 x 3 = π√3/4 + 2 that is 3.276 kPa.

    A cone of 60 g and 60 degrees: 0.27 x 0.06 x 9.80665/(0.005² x 1.3) = 4.888 kPa of dynamic yield stress at 5 mm.
    """
    expected = rk.first_tests(list(TOOLS), "can be cut").set_index("kind").expected
    assert "radius 17 to 26 mm, if the yield stress is 0.5 to 3.3 kPa" in expected["loaded plate"]
    assert expected["loaded plate"].endswith(
        "below 17 mm it is a bound and no number, as of a yield stress above 3.3 kPa"
    )
    assert "penetration 5 to 16 mm, if the yield stress is 0.5 to 4.9 kPa" in expected["fall cone"]
    assert legible(rk.KINDS["loaded plate"], 500.0, 5000.0) == (500.0, pytest.approx(3276.1, rel=1e-3))
    assert legible(rk.KINDS["fall cone"], 500.0, 5000.0) == (500.0, pytest.approx(4888.2, rel=1e-3))
    assert legible(rk.KINDS["fall cone"], 1.0, 10.0) == (10.0, 1.0)  # nothing that it reads


@every_feel
def test_nothing_at_hand_says_what_to_get(feel):
    found = rk.first_tests([], feel)
    said = " ".join(found.attrs["said"])
    assert found.empty and next(iter(found.columns)) == "kind"
    assert "No tool was named" in said
    assert "The yield stress stays unknown. To settle it get " in said
    assert "No flow curve can be measured" in said
    assert "density" in said


def test_what_stays_unknown_names_the_tool_that_would_settle_it():
    said = " ".join(rk.first_tests(["ruler", "cup"], "spoons").attrs["said"])
    assert (
        "No flow curve can be measured, so force and pressure at speed stay unknown. To settle it get a rotational viscometer"
        in said
    )
    assert "The yield stress stays unknown" not in said
    assert "water content (oven, scale)" in said
    assert "flow curve" not in " ".join(rk.first_tests(ASKED, "spoons").attrs["said"])


def test_what_every_kitchen_has_need_not_be_named():
    assert set(EVERYWHERE) <= set(TOOLS)
    assert missing(("ruler", ("cup", "syringe"), "board"), ["ruler", "syringe"]) == []
    assert missing(("ruler", ("cup", "syringe"), "board"), []) == ["ruler", "cup"]
    assert tools_of("here", ["Ruler", "scale", "ruler"]) == ("scale", "ruler")


def test_shown_whole_with_what_is_said_of_all():
    found = rk.first_tests(KITCHEN, "spoons")
    text, page = repr(found), found._repr_html_()
    assert "rule of thumb" in text.splitlines()[0]
    assert re.sub(r"\s+", " ", text).count(found.protocol.iloc[0]) == 1
    assert found.protocol.iloc[0].replace("&", "&amp;") in page
    assert "..." not in page
    assert repr(rk.first_tests([], "spoons"))


def test_its_kinds_make_a_folder_to_fill_in(tmp_path):
    found = rk.first_tests(ASKED, "holds a peak")
    folder = rk.new_bench(tmp_path / "paste", found)
    assert {path.stem.replace("-", " ") for path in folder.glob("*.csv")} == set(found["kind"])
    toml = (folder / "bench.toml").read_text(encoding="utf-8")
    assert "falls on hands and feet" in toml and "no pressure rating" in toml
    with pytest.raises(rk.DataError, match="none was named"):
        rk.new_bench(tmp_path / "none", rk.first_tests([], "spoons"))
