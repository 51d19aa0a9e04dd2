"""What two lengths find row by row where errors are not stated, and which friction they take off."""

import math
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.corrections import bagley, mooney, two_lengths
from rheokit.corrections.end_losses import end_losses, slip_span
from rheokit.corrections.lengths import WIDER
from rheokit.corrections.readings import with_friction

FLOWS = np.array([1e-9, 3e-9, 1e-8, 3e-8])
STRESS, END = np.array([300.0, 400.0, 550.0, 800.0]), 3.0
BARREL, FRICTION = 0.02, 4.0


def pressures(lengths=(0.02, 0.04), bore=2e-3, **more):
    """Return runs of one bore, 4 τ_w (L/D + 3)."""
    return [
        rk.PressureRun(
            nozzle=rk.Nozzle(rk.Cylinder(diameter=bore, length=length)), flow_rate=FLOWS,
            pressure=4 * STRESS * (length / bore + END), read="pressure", label=f"{length}", **more,
        )
        for length in lengths
    ]  # fmt: skip


def forces(stated):
    """Return runs whose forces hold a friction of 4 N, whatever is stated of it."""
    return [
        rk.ForceRun(
            extruder=rk.Extruder(
                barrel_diameter=BARREL, fill_length=0.0, plunger_friction=stated, break_loose_friction=stated,
                nozzle=rk.Nozzle(rk.Cylinder(diameter=run.nozzle.bore, length=run.nozzle.segments[-1].length)),
            ),
            flow_rate=FLOWS, force=run.pressure * np.pi * BARREL**2 / 4 + FRICTION, relative_uncertainty=0.02,
            label=run.label, apparatus="syringe A",
        )
        for run in pressures()
    ]  # fmt: skip


@pytest.mark.parametrize("make", [two_lengths, bagley])
def test_without_a_stated_uncertainty_the_values_stand_and_their_limits_are_not_known(make):
    pair = pressures()
    found = end_losses(make(pair), pair, None)
    assert len(found) == len(FLOWS)
    for one, stress in zip(found, STRESS, strict=True):
        assert one.stress[0] == pytest.approx(stress) and one.end[0] == pytest.approx(END)
        assert all(math.isnan(limit) for limit in (*one.stress[1:], *one.end[1:]))


@pytest.mark.parametrize("uncertainty", [None, 0.02])
def test_no_column_of_a_table_has_to_be_there(uncertainty):
    """Kind: independent. What no row knows is left out of a table; without any one column, what rests on it is not known, and nothing falls."""
    pair = pressures(relative_uncertainty=uncertainty)
    whole = two_lengths(pair)
    for name in whole.table.columns:
        found = end_losses(replace(whole, table=whole.table.drop(columns=name)), pair, None)
        assert len(found) == len(FLOWS)
        for column, values in (
            ("wall_shear_stress", [one.stress[0] for one in found]),
            ("end_correction", [one.end[0] for one in found]),
        ):
            assert np.isnan(values).all() == (name == column)


def test_a_span_of_slip_without_limits_is_told_with_limits_not_known():
    runs = [
        one
        for bore in (1e-3, 2e-3, 4e-3)
        for one in [replace(pressures((50 * bore,), bore)[0], label=f"{bore}", flow_rate=FLOWS * (bore / 2e-3) ** 3 * (1 + 4e-4 / bore))]
    ]  # fmt: skip
    plot = mooney(runs)
    plot = plot if plot.analysable else replace(plot, analysable=True)
    assert "slip_velocity" in plot.table
    bare = replace(plot, table=plot.table.drop(columns=["slip_velocity_low", "slip_velocity_high"]))
    low, high, *limits = slip_span(bare)
    assert low <= high and all(math.isnan(limit) for limit in limits)


def test_the_friction_taken_off_is_the_one_that_is_known_of_the_apparatus():
    """By hand: 4 τ_w (L/D + 3) beside 4 N; stated 5.6 N takes off 1.6 N too much, 1.6/(4 τ_w A_0) of a diameter."""
    runs = forces(5.6)
    area = np.pi * BARREL**2 / 4
    stated = [one.end[0] for one in end_losses(two_lengths(runs), runs, None)]
    assert stated == pytest.approx(END - 1.6 / (4 * STRESS * area))
    as_fitted = with_friction(runs, {runs[0].shared("plunger_friction"): (FRICTION, 0.3)})
    found = end_losses(two_lengths(as_fitted), as_fitted, None)
    assert [one.end[0] for one in found] == pytest.approx([END] * len(FLOWS))
    assert {run.plunger_friction_uncertainty for run in as_fitted} == {0.3}
    assert with_friction(runs, {}) == tuple(runs)
    higher = with_friction(runs, {runs[0].shared("plunger_friction"): (6.5, 0.3)})  # above the peak that was typed
    assert float(higher[0].extruder.break_loose_friction) == 6.5
    none_left = with_friction(runs, {runs[0].shared("plunger_friction"): (1e4, 0.3)})
    assert none_left == tuple(runs)


def test_of_a_fit_the_friction_taken_off_is_the_one_that_it_found():
    """Kind: independent. What the steps by hand of `with_friction` give; stated 5.6 ± 1.5 N; the fit moves it."""
    fit = rk.fit(rk.PowerLaw, *[replace(run, plunger_friction_uncertainty=1.5) for run in forces(5.6)])
    ((key, (found, size)),) = fit.frictions.items()
    assert key == fit.tests[0].shared("plunger_friction") and found == float(fit.nuisance[key]) and 0 < size < 1.5
    assert abs(found - 5.6) > 0.2
    by_hand = two_lengths(with_friction(fit.tests, {key: (found, size)})).table
    for make in (two_lengths, bagley):
        assert make(fit).table.end_correction.to_numpy() == pytest.approx(by_hand.end_correction.to_numpy())
    assert abs(by_hand.end_correction - two_lengths(fit.tests).table.end_correction).min() > 0.01


def test_a_friction_at_its_bound_has_no_limits_and_the_stated_one_stands():
    """The fit of a friction that ends at 0 N gives it no uncertainty; the corrections ended with that."""
    runs = [replace(run, plunger_friction_uncertainty=1.5) for run in forces(5.6)]
    held = with_friction(runs, {runs[0].shared("plunger_friction"): (0.0, math.nan)})
    assert {float(run.extruder.plunger_friction) for run in held} == {0.0}
    assert {run.plunger_friction_uncertainty for run in held} == {1.5}
    assert two_lengths(held).analysable


def test_by_how_much_stated_errors_are_taken_larger_is_told():
    """Kind: independent. What is told is the factor on u of a row: readings alone err, and u goes with it."""
    off = np.array([1.03, 0.96, 1.05, 0.97])
    pair = pressures(relative_uncertainty=0.005)
    pair = [pair[0], replace(pair[1], pressure=pair[1].pressure * off)]
    found = two_lengths(pair)
    (note,) = [note for note in found.notes if WIDER in note]
    own = 0.005 * np.hypot(*(run.pressure[1] for run in pair)) / (4 * 10)  # of (p_long - p_short)/4(20 - 10)
    told = float(note.partition("count ")[2].split()[0])
    assert told > 2 and found.table.wall_shear_stress_uncertainty[1] == pytest.approx(told * own, rel=0.005)
