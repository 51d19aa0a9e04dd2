"""The usual corrections of every kind of test: none is passed over in silence, and what is told of their size is held to arithmetic by hand."""

import numpy as np
import pytest
from scipy.integrate import quad
from test_appendix_sections import folder, poor
from test_bench import KINDS, example

import rheokit as rk
from rheokit.appendix.authors import KEYS
from rheokit.appendix.sections import apparatus, corrections, unmeasured
from rheokit.appendix.study import Study
from rheokit.bench import usual_corrections as usual
from rheokit.corrections.inertia import most_warming

STATUSES = {usual.APPLIED, usual.NOT_APPLIED, usual.UNTESTED, usual.LEFT, usual.IN_PART, usual.SEEN}
CURVE = '[specimen]\npaste = "agar of mine"\n[[test]]\nkind = "flow curve"\nfile = "c.csv"\nuncertainty = "3 %"\n'
ROWS = "shear rate [1/s],shear stress [Pa]\n0.5,41\n1,44\n2,48\n5,56\n10,65\n20,78\n50,105\n100,139\n"


def curve(rate, stress):
    return rk.bench.KINDS["flow curve"](shear_rate=rate, shear_stress=stress, relative_uncertainty=0.03)


def by_name(test):
    return {one.name: one for one in test.corrections()}


def printed(study):
    return {cells[0]: cells for cells in corrections.section(study).blocks[0].rows}


@pytest.mark.parametrize("kind", list(KINDS))
def test_each_kind_names_its_usual_corrections_with_what_became_of_them(kind):
    test = example(kind)
    found = test.corrections()
    if not test.gives and test.nozzle is None:
        assert found, f"{kind} names no usual correction: write what its theory counts and what it leaves out"
    assert len({one.name for one in found}) == len(found)
    for one in found:
        assert one.status in STATUSES and one.size and one.how
        assert not one.key or one.key in KEYS
        if one.status in (usual.UNTESTED, usual.NOT_APPLIED) and one.size == usual.UNKNOWN:
            assert "need" in one.how or "scatter" in one.how


@pytest.mark.parametrize("kind", list(KINDS))
def test_nothing_is_called_unknown_that_a_note_may_tell(kind):
    """What is not computed says so, and of what no entry holds nobody says that it is not known."""
    for one in example(kind).corrections():
        assert "not known" not in one.size and "nothing tells" not in one.size
        if one.key in KEYS and one.status == usual.UNTESTED:
            assert one.size.startswith("not computed")


def test_the_ends_of_a_vane_by_integration():
    """An even stress over side and both ends: 2 ∫ 2π r² dr over that and π D² H/2."""
    vane = rk.bench.KINDS["vane peak"](vane_diameter=0.022, vane_height=0.045, torque=[0.03])
    ends = 2 * quad(lambda r: 2 * np.pi * r**2, 0, 0.011)[0]
    side = np.pi * 0.022 * 0.045 * 0.011
    assert vane.end_share == pytest.approx(ends / (ends + side), rel=1e-9)
    assert "14 % of the torque" in by_name(vane)["ends of the vane"].size


def test_the_middle_of_a_heated_gap_by_finite_differences():
    """λ T'' = -q between walls at 0, on 401 nodes."""
    gap, heat, conducts, nodes = 1.3e-3, 179e3, 0.47, 401
    step = gap / (nodes - 1)
    matrix = np.diag(np.full(nodes - 2, -2.0)) + np.diag(np.ones(nodes - 3), 1) + np.diag(np.ones(nodes - 3), -1)
    warm = np.linalg.solve(matrix, np.full(nodes - 2, -heat * step**2 / conducts))
    assert usual.middle_rise(heat, gap, conducts) == pytest.approx(warm.max(), rel=1e-9)


def test_heating_and_span_of_a_curve_by_hand():
    """139 Pa at 100 1/s: 13.9 kW/m3, in 1 mm of 0.5 W/(m K) 13900*1e-6/4 = 0.0035 K; 139/41 = 3.39."""
    found = by_name(curve([0.5, 10, 100], [41.0, 65.0, 139.0]))
    heat = found["viscous heating"]
    assert "13.9 kW/m³" in heat.size and "by 0.0035 K" in heat.size and "assumed" in heat.how
    assert heat.size.startswith("not computed, since the gap is not typed as a number")
    assert "41 to 139 Pa, a factor of 3.39" in found["least torque of the instrument"].size


@pytest.mark.parametrize(
    ("stress", "status", "told"),
    [
        ([41.0, 65.0, 52.0], usual.SEEN, "the stress falls by 20 % from 10 to 100 1/s, the fastest two rates"),
        ([41.0, 65.0, 139.0], usual.IN_PART, "none seen: the stress rises from 10 to 100 1/s, the fastest two rates"),
    ],
)
def test_a_stress_that_falls_at_the_fastest_rates_is_named(stress, status, told):
    edge = by_name(curve([0.5, 10, 100], stress))["edge fracture, paste thrown out"]
    assert (edge.status, edge.size) == (status, told)


def test_one_rate_alone_tells_nothing_of_the_edge():
    edge = by_name(curve([10.0, 10.0], [65.0, 66.0]))["edge fracture, paste thrown out"]
    assert edge.status == usual.UNTESTED and "one rate alone" in edge.size


def test_inertia_of_a_ball_by_hand():
    """3/16 Re over 1 + 3/16 Re, Re = ρ v d/η with the viscosity that the ball itself gives."""
    ball = rk.bench.KINDS["falling ball"](
        ball_diameter=4e-3, ball_density=2510.0, tube_diameter=0.036, density=1094.0, speed=[0.03]
    )
    weight = (2510 - 1094) * 9.81 * 0.004**2 * ball.wall_factor / 18
    viscosity = weight / 0.03 - 3 / 16 * 1094 * 0.03 * 0.004
    share = 3 / 16 * 1094 * 0.03 * 0.004 / viscosity
    said = by_name(ball)["inertia of the liquid"].size
    assert float(said.split()[2]) == pytest.approx(100 * share / (1 + share), rel=0.05)


def test_a_rotational_bench_gets_its_rows_and_what_the_authors_state_is_pointed_to(tmp_path):
    study = Study(rk.Workbook.open(folder(tmp_path / "agar", CURVE, c_csv=ROWS)))
    found = printed(study)
    for name in (
        "slip at the wall",
        "viscous heating",
        "edge fracture, paste thrown out",
        "least torque of the instrument",
    ):
        assert f"{name} (flow curve)" in found
    assert found["slip at the wall (flow curve)"][1] == usual.UNTESTED
    assert found["least torque of the instrument (flow curve)"][3].endswith("(torque_range)")
    note = corrections.section(study).blocks[0].note
    assert "the entry of [page.appendix] in plan.toml in which the authors may state what the correction needs." in note
    assert any("least torque" in getattr(one, "text", "") for one in unmeasured.section(study).blocks)
    study.book.plan.put("page.appendix", "torque_range", "2 µN·m")
    assert "What the authors state: “Apparatus”" in printed(study)["least torque of the instrument (flow curve)"][3]


def test_a_bench_without_a_rotational_instrument_is_told_none(tmp_path):
    found = printed(Study(rk.Workbook.open(poor(tmp_path / "poor"))))
    assert not any("flow curve" in name for name in found)
    assert found["friction at the plates (loaded plate)"][1] == usual.APPLIED
    assert "0.9 ± 0.1" in found["friction at the plates (loaded plate)"][2]


def test_what_a_rotational_instrument_needs_is_asked_where_one_was_read(tmp_path):
    def asked(place):
        return apparatus.section(Study(rk.Workbook.open(place))).blocks[-1].texts[-1]

    rotational = folder(tmp_path / "agar", CURVE, c_csv=ROWS)
    assert "(torque_range)" in asked(rotational)
    without = asked(poor(tmp_path / "poor"))
    assert "(torque_range)" not in without and "(calibration)" in without


def test_what_friction_warms_a_paste_at_most_is_told_with_what_was_assumed():
    """300 kPa in 3 MJ/(m3 K): 0.1 K, by hand; of 1800 kg/m3 and 2500 J/(kg K) 0.0667 K."""
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2e-3, length=0.03))
    run = rk.PressureRun(nozzle=nozzle, flow_rate=[1e-9, 1e-8], pressure=[1e5, 3e5], read="pressure")
    assert most_warming([run]) == pytest.approx(0.1)
    assert most_warming([run], 1800.0) == pytest.approx(0.1)
    assert most_warming([run], 1800.0, 2500.0) == pytest.approx(0.0666667, rel=1e-5)


def test_friction_of_the_plunger_warms_no_paste_in_the_nozzle():
    """40 N less 10 N on pi/4*0.02^2 m2 = 314.159 mm2 are 95.493 kPa; over 3 MJ/(m3 K) 0.031831 K, by hand."""
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2e-3, length=0.03))
    rig = rk.Extruder(barrel_diameter=0.02, fill_length=0.08, plunger_friction=10.0, nozzle=nozzle)
    run = rk.ForceRun(extruder=rig, flow_rate=[1e-9, 1e-8], force=[25.0, 40.0])
    assert most_warming([run]) == pytest.approx(0.031831, rel=1e-4)
