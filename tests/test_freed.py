"""Questions that free what a fit held: the search goes on until it has told, and shows what a fit by hand shows."""

import warnings
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.fitting import artefacts, contradictions
from rheokit.fitting import freed as module
from rheokit.fitting.freed import Freed, freed
from rheokit.fitting.stamp import cause
from rheokit.units import mm

COEFFICIENT = 8e-6  # slip over wall stress [m/(s Pa)]
LANDS = ((1.2 * mm, 12 * mm), (1.2 * mm, 30 * mm), (1.9 * mm, 12 * mm), (1.9 * mm, 30 * mm))
SLIP, ENDS = "no flow below yield (slip)", "end loss as the formula says"


def runs(coefficient, batches=("P1", "P2"), seed=4):
    """Runs through two bores and two lengths of each batch, slip beside flow in the bulk; the second batch is a tenth stiffer."""
    draw, found = np.random.default_rng(seed), []
    for batch, factor in zip(batches, (1.0, 1.1), strict=False):
        law = rk.HerschelBulkley(yield_stress=430 * factor, consistency=145 * factor, flow_index=0.43)
        for diameter, length in LANDS:
            nozzle = rk.Nozzle(rk.Cylinder(diameter=diameter, length=length))
            stress = np.geomspace(200.0, 2500.0, 6) if coefficient else np.geomspace(600.0, 2500.0, 6)
            rate = law.apparent_shear_rate(stress) + 8 * coefficient * stress / diameter
            pressure = 4 * stress * length / diameter * np.exp(0.02 * draw.standard_normal(len(stress)))
            found.append(
                rk.PressureRun(
                    nozzle=nozzle, flow_rate=np.pi * diameter**3 / 32 * rate, pressure=pressure, read="pressure", relative_uncertainty=0.02,
                    apparatus="die", label=f"{diameter / mm:g} x {length / mm:g}", batch=batch,
                )
            )  # fmt: skip
    return found


def pushed(coefficient, uncertainty, batches=("P1", "P2"), seed=7, least=200.0):
    """Forces on a greased syringe with three bores, of each batch: friction is known to 0.5 N, slip beside flow in the bulk; the second batch is a tenth stiffer."""
    draw, found = np.random.default_rng(seed), []
    for batch, factor in zip(batches, (1.0, 1.1), strict=False):
        law = rk.HerschelBulkley(yield_stress=430 * factor, consistency=145 * factor, flow_index=0.43)
        for diameter in (1.2 * mm, 1.9 * mm, 3.0 * mm):
            nozzle = rk.Nozzle(rk.Cylinder(diameter=diameter, length=20 * mm))
            stress = np.geomspace(least if coefficient else 600.0, 2500.0, 5)
            rate = law.apparent_shear_rate(stress) + 8 * coefficient * stress / diameter
            run = rk.ForceRun(
                extruder=rk.Extruder(barrel_diameter=21 * mm, fill_length=60 * mm, nozzle=nozzle, plunger_friction=6.0, barrel_drag=0.0),
                flow_rate=np.pi * diameter**3 / 32 * rate, force=np.full(5, 50.0), read="force", plunger_friction_uncertainty=0.5,
                model_error=0.05, relative_uncertainty=uncertainty, apparatus="syringe", label=f"{diameter / mm:g}", batch=batch, slip="fitted",
            )  # fmt: skip
            shared = {"slip_coefficient": max(coefficient, 1e-15), "slip_threshold": 0.0, "plunger_friction": 6.0}
            force = run.expected(law, {run.shared(name): value for name, value in shared.items()})
            found.append(replace(run, slip="none", force=force * np.exp(0.02 * draw.standard_normal(5))))
    return found


def fitted(tests):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(rk.HerschelBulkley, *tests)


def checks_of(fit):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return fit.checks.set_index("question")


@pytest.fixture(scope="module")
def slipping():
    return fitted(runs(COEFFICIENT))


@pytest.mark.slow
def test_slip_that_rules_is_found_with_two_batches_as_by_hand(slipping):
    """Kind: independent. A fit with the slip fitted from the beginning; both misfits in the sizes of the freer one."""
    by_hand = fitted([replace(run, slip="fitted") for run in slipping.tests])
    gain = slipping.chi_square - by_hand.chi_square
    row = checks_of(slipping).loc[SLIP]
    assert gain > 300
    assert row.value == pytest.approx(gain, rel=0.02)
    assert not row.passed
    (beta,) = [value for key, value in by_hand.nuisance.items() if key.name == "slip_coefficient"]
    assert beta == pytest.approx(COEFFICIENT, rel=0.2)


@pytest.mark.slow
@pytest.mark.parametrize(("coefficient", "uncertainty"), [(8e-6, 0.02), (2e-5, 0.02), (8e-6, None)])
def test_slip_that_rules_a_syringe_with_two_batches_is_never_said_to_be_absent(coefficient, uncertainty):
    """Kind: independent. A fit with the slip fitted from the beginning, whose coefficient is the one that the forces were made with.

    A search that begins where the fit ended stayed there, and slip that makes nine tenths of the misfit was said to be absent (2 % stated).
    """
    fit = fitted(pushed(coefficient, uncertainty))
    by_hand = fitted([replace(run, slip="fitted") for run in fit.tests])
    row = checks_of(fit).loc[SLIP]
    assert not row.passed
    assert row.comment.startswith("The readings fit better if the paste slips at the wall")
    if uncertainty is not None:
        assert row.value == pytest.approx(fit.chi_square - by_hand.chi_square, rel=0.02)
    (found,) = [value for key, value in by_hand.nuisance.items() if key.name == "slip_coefficient"]
    assert found == pytest.approx(coefficient, rel=0.1)


@pytest.mark.slow
@pytest.mark.parametrize("uncertainty", [0.02, None])
def test_a_syringe_with_two_batches_that_does_not_slip_is_said_to_hold(uncertainty):
    """Kind: independent. Two more parameters take about two of chi-square."""
    row = checks_of(fitted(pushed(0.0, uncertainty))).loc[SLIP]
    assert row.passed
    assert 0 <= row.value < 12


@pytest.mark.slow
@pytest.mark.parametrize("start", [430.0, 1.0, 3000.0])
def test_what_is_found_does_not_hang_on_the_law_that_it_starts_from(slipping, start):
    tests = artefacts._chosen(slipping, slipping.tests, slip="fitted")
    found = freed(slipping, tests, [replace(slipping.law, yield_stress=start)])
    assert found.gain == pytest.approx(freed(slipping, tests, [slipping.law]).gain, rel=1e-3)


@pytest.mark.slow
def test_what_a_length_of_land_for_the_ends_gains_is_what_it_gains_by_hand(slipping):
    tests = artefacts._chosen(slipping, slipping.tests, end_correction="fitted")
    found = freed(slipping, tests, [slipping.law], nested=False)
    assert found.gain == pytest.approx(slipping.chi_square - fitted(tests).chi_square, rel=0.02, abs=0.2)


@pytest.mark.slow
def test_where_nothing_slips_nothing_is_gained():
    """Kind: independent. Two more parameters take about two of chi-square, and never less than nothing."""
    fit = fitted(runs(0.0))
    row = checks_of(fit).loc[SLIP]
    assert row.passed
    assert 0 <= row.value < 12
    assert row.comment.startswith("The readings show no slip at the wall: the squared misfit falls by ")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("question", "ask", "start"),
    [
        (SLIP, artefacts.slip, "Not known whether the paste slips at the wall"),
        (ENDS, artefacts.end_loss, "Not known whether the ends cost what the formula says"),
    ],
)
def test_a_search_that_has_not_told_passes_nothing(monkeypatch, question, ask, start):
    fit = fitted(_with_inlet(runs(0.0)))
    monkeypatch.setattr(artefacts, "freed", lambda *given, **more: Freed(np.nan, fit.law, dict(fit.nuisance), None))
    (row,) = [row for row in ask(fit) if row.question == question]
    assert not row.passed
    assert np.isnan(row.value)
    assert row.comment.startswith(start)
    assert not cause(row).grave


def _with_inlet(tests):
    return [replace(test, inlet_diameter=20 * mm) for test in tests]


@pytest.mark.slow
def test_an_end_that_is_no_least_sum_of_squares_or_above_the_fit_is_no_answer(monkeypatch, slipping):
    tests = artefacts._chosen(slipping, slipping.tests, slip="fitted")
    monkeypatch.setattr(module, "SHORT", (1, 1))
    monkeypatch.setattr(module, "LONG", (1, 1))
    assert not freed(slipping, tests, [slipping.law]).known


def test_kinds_of_test_are_not_said_to_agree_where_the_search_has_not_told(monkeypatch):
    law = rk.HerschelBulkley(yield_stress=300.0, consistency=80.0, flow_index=0.5)
    rates = np.geomspace(0.1, 100, 9)
    curve = rk.FlowCurve(shear_rate=rates, shear_stress=law.shear_stress(rates), relative_uncertainty=0.03)
    plate = rk.VanePeak(vane_diameter=0.02, vane_height=0.04, torque=[300.0 * 2.9e-5], relative_uncertainty=0.05)
    fit = fitted([curve, plate])
    monkeypatch.setattr(
        contradictions,
        "freed",
        lambda *given, **more: Freed(
            np.nan,
            fit.law,
            {rk.bench.base.Shared("model_factor", kind): 1.0 for kind in ("flow curve", "vane peak")},
            None,
        ),
    )
    (row,) = contradictions.kinds_agree(fit)
    assert not row.passed
    assert np.isnan(row.value)
    assert row.comment.startswith("Not known whether ")
