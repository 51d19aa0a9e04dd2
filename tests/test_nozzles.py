"""Nozzle and extruder: messages, budgets, limits, and a worked case by two routes."""

import re
import warnings

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

import rheokit as rk
from rheokit.machine.lower_bound import LowerBound
from rheokit.units import kPa, mm

PASTE = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
CONE = rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm)
LAND = rk.Cylinder(diameter=1.6 * mm, length=8 * mm)
NOZZLE = rk.Nozzle(CONE, LAND)
FLOW = 23 * mm**3


def extruder(**changes):
    given = {"barrel_diameter": 26.7 * mm, "fill_length": 80 * mm, "plunger_friction": 8.0, "nozzle": NOZZLE} | changes
    return rk.Extruder(**given)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (
            lambda: rk.Cylinder(diameter=0.84, length=0.01),
            "Cylinder: diameter = 0.84 m is wider than any nozzle or barrel rheokit knows (0.2 m). Lengths are in metres; did "
            "you mean 0.84*mm?",
        ),
        (lambda: rk.Cylinder(diameter=1 * mm, length=0), "Cylinder: length = 0 m must be a positive length."),
        (
            lambda: rk.Cone(inlet_diameter=1 * mm, outlet_diameter=2 * mm, length=5 * mm),
            "Cone: inlet_diameter = 1 mm is smaller than outlet_diameter = 2 mm. rheokit computes narrowing flow only; give "
            "the ends in flow order.",
        ),
        (
            lambda: rk.Nozzle(LAND, CONE),
            "Nozzle: a step up from 1.6 mm to 4 mm. rheokit computes narrowing flow only; give the segments in flow order, "
            "from the barrel to the tip.",
        ),
        (lambda: rk.Nozzle(), "Nozzle: no segment was given; a nozzle needs at least one Cylinder or Cone."),
        (
            lambda: extruder(barrel_diameter=3 * mm),
            "Nozzle: its inlet, 4 mm, is wider than the barrel in front of it, 3 mm; rheokit computes narrowing flow only.",
        ),
        (
            lambda: extruder(barrel_diameter=26.7),
            "Extruder: barrel_diameter = 26.7 m is wider than any barrel rheokit knows (0.2 m). Lengths are in metres; did you "
            "mean 26.7*mm?",
        ),
        (lambda: extruder(plunger_friction=-1.0), "Extruder: plunger_friction = -1 N cannot be negative."),
    ],
)
def test_messages(make, words):
    with pytest.raises(rk.DataError) as caught:
        make()
    assert str(caught.value) == words


def test_something_that_is_no_segment_is_refused():
    with pytest.raises(TypeError, match="is not a segment; give Cylinder or Cone objects in flow order"):
        rk.Nozzle(CONE, 1.6 * mm)


def test_budget_sums_to_the_total_and_names_its_models():
    for table, total in (
        (
            NOZZLE.budget(PASTE, FLOW, inlet_diameter=26.7 * mm),
            NOZZLE.pressure_drop(PASTE, FLOW, inlet_diameter=26.7 * mm),
        ),
        (extruder().budget(PASTE, FLOW), extruder().pressure(PASTE, FLOW)),
    ):
        assert table.pressure_drop.sum() == pytest.approx(total, rel=1e-12)
        assert table.share.sum() == pytest.approx(1.0)
        assert set(table.unit) == {"Pa"}
        assert all(table.model)
    assert list(extruder().budget(PASTE, FLOW).part) == [
        "barrel: 26.7 mm x 80 mm, wall",
        "step 26.7 to 4 mm",
        "taper: 4 to 1.6 mm over 20 mm, wall",
        "taper: 4 to 1.6 mm over 20 mm, converging",
        "land: 1.6 mm x 8 mm, wall",
    ]


def slow_wall_stress(law, apparent_rate):
    """Return the wall stress by root search on plain quadrature of the velocity profile's flow integral."""

    def flow(stress):
        below = law.yield_stress
        return (
            4
            / stress**3
            * quad(lambda t: t**2 * ((t - below) / law.consistency) ** (1 / law.flow_index), below, stress)[0]
        )

    return brentq(lambda stress: flow(stress) - apparent_rate, law.yield_stress * (1 + 1e-12), 1e7, rtol=1e-13)


def test_worked_case_of_barrel_taper_and_land():
    """Kind: independent. Barrel, step, taper and land again by quadrature and root search, and the excess from its parts."""
    law, rig = PASTE, extruder()
    tube = lambda d, length: 4 * length / d * slow_wall_stress(law, 32 * FLOW / (np.pi * d**3))  # noqa: E731
    slope = (4 - 1.6) / 2 / 20
    half_angle = np.arctan(slope)
    cone = quad(
        lambda r: 2 * slow_wall_stress(law, 4 * FLOW / (np.pi * r**3)) / (r * slope), 0.8 * mm, 2 * mm, epsrel=1e-10
    )[0]

    def excess(inlet, outlet, angle):
        ratio, n = inlet / outlet, law.flow_index
        speed = FLOW / (np.pi * outlet**2 / 4)
        stretching = (
            2 / (3 * n) * 3 ** ((n + 1) / 2) * law.consistency * (4 * speed / outlet) ** n * (1 - ratio ** (-3 * n))
        )
        plastic = 2 * np.sqrt(3) * law.yield_stress * np.log(ratio)
        viscous = 1.15 * (angle / (np.pi / 2)) ** (n**0.35) * stretching * (1 - np.sin(angle) / ratio**3)
        return viscous + 0.65 * (1 + 0.55 * angle) * plastic

    pressure = (
        tube(26.7 * mm, 80 * mm)
        + excess(26.7 * mm, 4 * mm, np.pi / 2)
        + cone
        + excess(4 * mm, 1.6 * mm, half_angle)
        + tube(1.6 * mm, 8 * mm)
    )
    assert rig.pressure(law, FLOW) == pytest.approx(pressure, rel=1e-8)
    assert rig.plunger_force(law, FLOW) == pytest.approx(pressure * np.pi * (26.7 * mm) ** 2 / 4 + 8.0, rel=1e-8)
    assert rig.plunger_force(law, FLOW) == pytest.approx(63.2206, abs=5e-5)  # regression: the figure of README


def test_start_is_the_limit_of_running():
    """Kind: exact. The running force falls to the start force as Q^(n/(n+1)), the plug limit, and reaches it at rest."""
    rig = extruder()
    start = float(rig.start_force(PASTE))
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore", rk.ModelRangeWarning
        )  # Bingham numbers beyond the fitted range on the way to rest
        over = np.array([rig.plunger_force(PASTE, q) / start - 1 for q in (1e-18, 1e-22, 1e-26)])
    assert np.all(over > 0)
    assert np.diff(np.log(over)) / np.log(1e-4) == pytest.approx([0.38 / 1.38] * 2, rel=0.01)
    assert rig.plunger_force(PASTE, 0.0) == pytest.approx(start, rel=1e-12)
    assert rig.start_pressure(PASTE) == pytest.approx(rig.pressure(PASTE, 0.0), rel=1e-12)
    assert NOZZLE.start_pressure(PASTE) == pytest.approx(NOZZLE.pressure_drop(PASTE, 0.0), rel=1e-12)


def test_start_force_says_what_it_leaves_out():
    rig = extruder()
    bare = rig.start_force(PASTE)
    assert isinstance(bare, LowerBound)
    assert str(bare) == (
        "at least 34.4 N (lower bound: it uses the dynamic yield stress; after a rest the static one is 1.2 to 3 times "
        "higher; it uses the plunger friction of gliding; the peak that breaks it loose is higher)"
    )
    full = rig.start_force(PASTE, static_yield_stress=800.0, break_loose_friction=12.0)
    assert not isinstance(full, LowerBound)
    assert full == pytest.approx((float(bare) - 8.0) * 800 / 650 + 12.0)
    assert "static" not in str(rig.start_force(PASTE, static_yield_stress=800.0))
    thin = rig.start_force(rk.PowerLaw(consistency=300.0, flow_index=0.4))
    assert float(thin) == 8.0 and "the law has no yield stress" in str(thin) and "static" not in str(thin)


@pytest.mark.parametrize("nozzle", [NOZZLE, rk.Nozzle(CONE), rk.Nozzle(LAND)], ids=["taper and land", "taper", "land"])
def test_flow_to_pressure_and_back(nozzle):
    rig = extruder(nozzle=nozzle)
    flows = np.geomspace(0.1, 500, 9) * mm**3
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.ModelRangeWarning)
        assert nozzle.flow_rate(PASTE, nozzle.pressure_drop(PASTE, flows)) == pytest.approx(flows, rel=1e-8)
        assert rig.flow_rate(PASTE, rig.plunger_force(PASTE, flows)) == pytest.approx(flows, rel=1e-8)
    assert nozzle.flow_rate(PASTE, nozzle.start_pressure(PASTE)) == 0
    assert rig.flow_rate(PASTE, 1.0) == 0


def test_with_bore_changes_every_end_that_has_the_bore():
    narrow = NOZZLE.with_bore(1.0 * mm)
    assert narrow.bore == 1.0 * mm
    assert narrow.segments[0].outlet_diameter == 1.0 * mm
    assert narrow.segments[0].inlet_diameter == 4 * mm


def test_with_bore_takes_ends_that_are_rounded_differently_for_the_bore():
    """Kind: exact. Else a taper that ends on the land by another sum would leave a step behind."""
    cone = rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm * (1 + 1e-15), length=20 * mm)
    assert cone.outlet_diameter != LAND.diameter
    narrow = rk.Nozzle(cone, LAND).with_bore(1.0 * mm)
    assert narrow.segments[0].outlet_diameter == 1.0 * mm
    assert len(narrow.parts()) == 3


def ends_of(nozzle):
    """Return the diameters along a nozzle [mm], in flow order."""
    return [end / mm for s in nozzle.segments for end in (s.inlet_diameter, s.outlet_diameter)]


@pytest.mark.parametrize(
    ("segments", "bore", "ends"),
    [
        ((rk.Cylinder(diameter=2.01 * mm, length=20 * mm), rk.Cylinder(diameter=2 * mm, length=4 * mm)), 2.02, [2.02] * 4),
        ((rk.Cylinder(diameter=2.01 * mm, length=20 * mm), rk.Cylinder(diameter=2 * mm, length=4 * mm)), 2.005, [2.01, 2.01, 2.005, 2.005]),
        ((rk.Cylinder(diameter=2.01 * mm, length=20 * mm), rk.Cylinder(diameter=2 * mm, length=4 * mm)), 1.98, [2.01, 2.01, 1.98, 1.98]),
        ((rk.Cone(inlet_diameter=4 * mm, outlet_diameter=2.1 * mm, length=9 * mm), rk.Cylinder(diameter=2 * mm, length=4 * mm)), 2.2, [4, 2.2, 2.2, 2.2]),
        ((CONE, LAND), 5.0, [5] * 4),
    ],
)  # fmt: skip
def test_a_wider_bore_opens_what_stands_in_its_way(segments, bore, ends):
    """Kind: exact. As a drill from the tip does; a narrower bore leaves what is wider as it was."""
    assert ends_of(rk.Nozzle(*segments).with_bore(bore * mm)) == pytest.approx(ends, rel=1e-12)


def test_a_bore_through_its_neighbour_changes_the_pressure_without_a_jump():
    """Kind: exact. Draws on both sides of the neighbour's bore, at once and one by one; beyond it the two are one tube."""
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2.01 * mm, length=20 * mm), rk.Cylinder(diameter=2 * mm, length=4 * mm))
    bores = np.array([1.98, 2.0, 2.01 * (1 - 1e-9), 2.01 * (1 + 1e-9), 2.02, 2.2]) * mm
    each = [nozzle.with_bore(bore).pressure_drop(PASTE, FLOW, inlet_diameter=20 * mm) for bore in bores]
    together = nozzle.with_bore(bores[:, None]).pressure_drop(PASTE, np.array([FLOW]), inlet_diameter=20 * mm)
    assert together[:, 0] == pytest.approx(each, rel=1e-9)
    assert np.all(np.diff(each) < 0)
    assert each[3] == pytest.approx(each[2], rel=1e-8)
    tube = rk.Nozzle(rk.Cylinder(diameter=2.2 * mm, length=24 * mm))
    assert each[5] == pytest.approx(tube.pressure_drop(PASTE, FLOW, inlet_diameter=20 * mm), rel=1e-12)


def test_leaving_the_fitted_range_warns_in_words():
    steep = rk.Nozzle(
        rk.Cone(inlet_diameter=20 * mm, outlet_diameter=2 * mm, length=3 * mm),
        rk.Cylinder(diameter=2 * mm, length=2 * mm),
    )
    with pytest.warns(rk.ModelRangeWarning, match=r"half angle 72° \(fitted to 60° and for abrupt steps\)"):
        steep.pressure_drop(PASTE, FLOW)
    with pytest.warns(rk.ModelRangeWarning, match=r"flow index 0.12 \(fitted for 0.2 to 1\)"):
        NOZZLE.pressure_drop(rk.PowerLaw(consistency=400, flow_index=0.12), FLOW)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        NOZZLE.pressure_drop(PASTE, FLOW, inlet_diameter=26.7 * mm)


def test_a_taper_to_many_bores_is_not_named_by_their_mean():
    """4.5/4 = 1.125, of the widest bore; those of 0.6 to 2 mm are inside."""
    taper = rk.Cone(inlet_diameter=4.5 * mm, outlet_diameter=1.6 * mm, length=14 * mm)
    nozzle = rk.Nozzle(taper).with_bore(np.array([0.6, 1.0, 2.0, 4.0]) * mm)
    words = r"taper: 4.5 mm to bores of 0.6 to 4 mm over 14 mm, converging: diameter ratio 1.12 \(fitted for 2 to 24\)"
    with pytest.warns(rk.ModelRangeWarning, match=words):
        nozzle.pressure_drop(PASTE, FLOW)


def test_laws_that_the_converging_loss_was_not_fitted_for_are_called_extrapolated():
    words = (
        "flow law Sisko (fitted for Herschel-Bulkley and its special cases). The loss there is extrapolated: measure it with a "
        "die of next to no length, or keep the share of this part small."
    )
    cone = rk.Cone(inlet_diameter=20 * mm, outlet_diameter=2 * mm, length=10 * mm)
    nozzle = rk.Nozzle(cone, rk.Cylinder(diameter=2 * mm, length=4 * mm))
    sisko = rk.Sisko(final_viscosity=1.5, consistency=300.0, flow_index=0.4)
    for law in (sisko, rk.Shifted(sisko, 1.2)):
        with pytest.warns(rk.ModelRangeWarning, match=re.escape(words)):
            nozzle.pressure_drop(law, FLOW)
    family = (rk.Newtonian(30.0), rk.PowerLaw(300.0, 0.4), rk.Bingham(300.0, 20.0), PASTE, rk.Shifted(PASTE, 1.2, 0.8))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for law in family:
            nozzle.pressure_drop(law, FLOW)
    curve = rk.FlowCurve(
        shear_rate=[1.0, 10, 100], shear_stress=sisko.shear_stress([1.0, 10, 100]), relative_uncertainty=0.02
    )
    run = rk.PressureRun(nozzle=nozzle, flow_rate=[FLOW], pressure=[1e5], relative_uncertainty=0.02)
    with warnings.catch_warnings(action="ignore"):
        checks = rk.fit(rk.Sisko, curve, run).checks
    failed = checks[~checks.passed.astype(bool)].to_string(max_colwidth=None)
    assert "flow law Sisko (fitted for Herschel-Bulkley and its special cases)" in failed


def test_a_demonstration_nozzle_runs_as_on_the_bench():
    """Kind: regression. Nozzles of 0.8 to 3 mm at 15 mm/s: pressure and force of the demonstration scenario."""
    rows = [
        (0.8, 10, 0.5, 1.0, 136, 84),
        (1.2, 10, 0.7, 1.4, 86, 56),
        (1.6, 12, 0.9, 1.9, 74, 49),
        (2.4, 12, 1.3, 2.8, 50, 36),
        (3.0, 15, 1.6, 3.5, 48, 35),
    ]
    for bore, land, h, w, pressure, force in rows:
        rig = extruder(fill_length=60 * mm, nozzle=rk.Nozzle(rk.Cylinder(diameter=bore * mm, length=land * mm)))
        flow = ((w - h) * h + np.pi * h**2 / 4) * mm**2 * 15 * mm
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", rk.ModelRangeWarning)
            assert rig.pressure(PASTE, flow) / kPa == pytest.approx(pressure, abs=0.5)
            assert rig.plunger_force(PASTE, flow) == pytest.approx(force, abs=0.5)


def test_luer_taper_and_needles():
    taper = rk.luer_cone(outlet_diameter=4 * mm, length=5 * mm)
    assert taper.inlet_diameter == pytest.approx(4.3 * mm)
    assert np.degrees(2 * taper.half_angle) == pytest.approx(2 * np.degrees(np.arctan(0.03)))
    assert rk.needle_bore(18) == pytest.approx(0.838 * mm)
    with pytest.raises(rk.DataError, match="gauge 3 is not in the table; it holds 7 to 31"):
        rk.needle_bore(3)
