"""Which reading to take next: how a candidate scatters that reads something else than its bench did, what draws cannot tell, which laws are rivals."""

import warnings
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.bench.record import BESIDE_ROUNDING
from rheokit.fitting.ranking import FAR, NOT_DESCRIBED
from rheokit.planning import rivals
from rheokit.planning.foreseen import TELLING, Outlook
from rheokit.planning.planned_push import planned_push
from rheokit.planning.ranked_readings import NextReading
from rheokit.planning.reading_advice import FEW_DRAWS, NOT_KNOWN, remarks_of, rows_of
from rheokit.planning.rivals import rivals_of
from rheokit.units import mm

PASTE = rk.HerschelBulkley(yield_stress=420.0, consistency=90.0, flow_index=0.46)  # INVENTED
FLOWS = np.array([24.0, 46.0, 96.0, 195.0, 357.0, 730.0]) * 1e-9
PLANNED = rk.Extruder(
    barrel_diameter=21.3 * mm,
    fill_length=65 * mm,
    plunger_friction=6.2,
    nozzle=rk.Nozzle(rk.Cylinder(diameter=1.75 * mm, length=12 * mm)),
)


def syringe(length=14 * mm, seed=3, scatter=0.06, read="flow_rate", **stated):
    """Return an invented run of a syringe through a land: the loads set and the flow read, with scatter."""
    rig = replace(PLANNED, nozzle=rk.Nozzle(rk.Cylinder(diameter=2.05 * mm, length=length)))
    force = np.array([rig.plunger_force(PASTE, flow_rate=flow) for flow in FLOWS])
    flows = FLOWS * np.exp(scatter * np.random.default_rng(seed).standard_normal(len(FLOWS)))
    return rk.ForceRun(
        extruder=rig,
        force=force,
        flow_rate=flows,
        read=read,
        model_error=0.1,
        apparatus="syringe",
        label=f"{1000 * length:.0f}",
        **stated,
    )


def plate():
    """Return an invented loaded plate of the paste."""
    bare = rk.LoadedPlate(volume=5e-6, force=11.77, radius=[0.027], model_error=0.15, relative_uncertainty=0.03)
    return replace(bare, radius=np.ravel(bare.predict(PASTE)))


def fitted(*tests, law=rk.HerschelBulkley):
    """Return a fit without its warnings."""
    with warnings.catch_warnings(action="ignore"):
        return rk.fit(law, *tests)


ROUNDED = {"uncertainty": 1e-9, "error": BESIDE_ROUNDING}
OF_FLOW = {
    "an amount": {"uncertainty": 1e-8},
    "an amount a row": {"uncertainty": np.full(6, 1e-8)},
    "a share": {"relative_uncertainty": 0.08},
    "rounding": ROUNDED,
}


# --- a candidate that reads something else --------------------------------------------------------------------------------------


@pytest.mark.parametrize("stated", OF_FLOW.values(), ids=OF_FLOW)
def test_what_was_stated_of_a_flow_is_not_taken_for_that_of_a_force(stated):
    """Common practice, no source: a force scatters by 4 %. A hundred-millionth of a cubic metre a second is no newton."""
    fit = fitted(syringe(**stated), plate())
    (one,) = planned_push(fit, PLANNED, 36e-9)
    (test,) = one.tests
    assert test.read == "force"
    assert (test.uncertainty, test.relative_uncertainty) == (None, rk.ForceRun.usual_scatter)
    assert not test.rounding_alone
    outlook = Outlook(fit, lambda law, extruder: extruder.plunger_force(law, flow_rate=36e-9), PLANNED)
    found = outlook.foresee(one.tests)
    low, middle, high = found.reading[:, 0]
    assert high - low > 2 * 1.96 * 0.9 * rk.ForceRun.usual_scatter * middle
    assert found.effective > TELLING
    assert found.share > 0.2


def test_what_was_stated_of_a_force_stands():
    of_force = syringe(read="force", uncertainty=0.3)
    for tests in ((of_force, plate()), (of_force, syringe(28 * mm, uncertainty=1e-8), plate())):
        ((test,),) = (one.tests for one in planned_push(fitted(*tests), PLANNED, 36e-9))
        assert test.uncertainty == 0.3


# --- what the draws cannot tell --------------------------------------------------------------------------------------------------


def test_a_width_that_the_draws_cannot_tell_is_no_number():
    """The range of ten draws is 3.1 standard deviations, where 95 % take 3.9 (factor d2 of control charts, from memory): of fewer none is told."""
    fit = fitted(syringe(relative_uncertainty=0.08), plate())
    sharp = syringe(relative_uncertainty=1e-7).where(np.arange(6) == 2)
    found = rk.next_reading(fit, lambda law: law.yield_stress, [sharp, plate()], unit="Pa")
    one = next(each for each in found.ranked if each.candidate.tests[0] is sharp)
    assert one.foreseen is None
    assert one.doubt == FEW_DRAWS
    row = next(each for each in rows_of(found) if each[1] == one.candidate.name)
    assert row[0] == "apart"
    assert [row[2], row[3], row[5], row[6]] == [NOT_KNOWN] * 4
    assert f"Apart from the others stands {one.candidate.name}: what it leaves cannot be foretold" in str(found)
    assert FEW_DRAWS[1:] in dict(remarks_of(found))[one.candidate.name]
    assert np.isnan(found.table.set_index("candidate").expected_width[one.candidate.name])
    alone = rk.next_reading(fit, lambda law: law.yield_stress, [sharp], unit="Pa")
    assert isinstance(alone, NextReading)
    assert alone.best is None
    assert "expected to be" not in str(alone)
    assert "Nothing cheap" not in str(alone)


# --- rivals ----------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "stated", [ROUNDED, {"relative_uncertainty": 0.08}, {}], ids=["rounding", "a share", "nothing"]
)
def test_no_law_that_the_comparison_turns_down_is_a_rival(stated):
    tests = [syringe(seed=1, **stated), syringe(42 * mm, seed=2, **stated), plate()]
    fit = fitted(*tests)
    with warnings.catch_warnings(action="ignore"):
        table = rk.compare([rk.LAWS[name] for name in rivals.ASKED], *tests)
    down = set(table.index[table.verdict.isin((NOT_DESCRIBED, FAR))])
    named = {one.name for one in rivals_of(fit)}
    assert "Bingham" in down
    assert not named & down


def test_a_law_that_readings_over_few_rates_do_not_tell_apart_stays_a_rival():
    tests = [syringe(seed=1, relative_uncertainty=0.3), plate()]
    fit = fitted(*tests)
    with warnings.catch_warnings(action="ignore"):
        table = rk.compare([rk.LAWS[name] for name in rivals.ASKED], *tests)
    named = {one.name for one in rivals_of(fit)}
    assert named == {"Casson", "Bingham"}
    assert not set(table.verdict[sorted(named)]) & {NOT_DESCRIBED, FAR}
