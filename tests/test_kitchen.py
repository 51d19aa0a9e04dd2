"""Readings as a kitchen has them: bottle, scale, strainer, needles by gauge; and the bench that they make.

Kind: exact (definitions worked out beside each), unless said otherwise.
"""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from kitchen import kitchen, syringe

import rheokit as rk
from rheokit import ReadingError
from rheokit.planning.chances import chance
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files
from rheokit.reading.writer import bench_files
from rheokit.units import mm

BARREL = 'barrel_diameter = "26.7 mm"\nfill_length = "60 mm"\nbarrel_drag = "1 ± 0.1"\n'


def bench(toml, **files):
    """Return the bench of typed texts; a file `cup` is cup.csv."""
    named = {f"{name}.csv": text.encode() for name, text in files.items()}
    return read_files(Memory({"bench.toml": toml.encode(), **named}))


def one_run(nozzle, rest="", csv="flow rate [mL/min], force [N]\n1, 40\n"):
    """Return the bench of one syringe run, with the keys of its nozzle and others."""
    toml = (
        f'[apparatus.syringe]\n{BARREL}plunger_friction = "6 ± 1 N"\n[[test]]\nkind = "syringe force"\nfile = "t.csv"\n'
    )
    toml += (
        f'apparatus = "syringe"\nread = "force"\nmodel_error = 0.1\nmodel_error_reason = "as set"\n{nozzle}\n{rest}\n'
    )
    return bench(toml, t=csv)


def faults(make):
    with pytest.raises(ReadingError) as caught:
        make()
    return list(caught.value.faults)


# --- needles by gauge, the luer taper -------------------------------------------------------------------------------


def test_a_needle_by_gauge_is_nominal_and_says_so():
    """20 gauge: 0.603 mm, tolerance 0.019 mm, a rectangular distribution: 0.019/√3/0.603 = 1.81918 %."""
    found = one_run('bore = "20G"\nlength = "1 in"')
    (run,) = found.tests
    assert (run.nozzle.bore, run.nozzle.segments[0].length) == (pytest.approx(0.603 * mm), pytest.approx(25.4 * mm))
    assert run.bore_uncertainty == pytest.approx(0.0181918, rel=1e-5)
    assert found.origin.notes == (
        "bench.toml, [[test]] 1: bore = '20G': the nominal bore of a regular wall, 0.603 mm with a tolerance of 0.019 mm, was "
        "taken; thin walls are wider: measure the needle in hand, as 1 % of a bore is 4 % of the flow and more.",
    )


def test_a_gauge_is_written_back_as_it_was_typed():
    found = one_run('bore = "20G"\nlength = "1 in"', csv="flow rate [mL/min], force [N]\n1, 40\n2, 50\n")
    fewer = rk.Bench(found.specimen, [found.tests[0].where([True, False])], found.origin)
    assert b'bore = "20G"\nlength = "1 in"' in bench_files(fewer)["bench.toml"]


def test_the_luer_taper_by_name_between_a_tip_and_a_needle():
    """6 % of 10 mm are 0.6 mm: the taper of 2.4 mm at its narrow end is 3.0 mm wide."""
    hub = '{taper = "luer", outlet_diameter = "2.4 mm ± 1 %", length = "10 mm"}'
    found = one_run(f'nozzle = [{hub}, {{diameter = "20G", length = "25 mm"}}]')
    cone, needle = found.tests[0].nozzle.segments
    assert (cone.inlet_diameter, cone.outlet_diameter) == (pytest.approx(3.0 * mm), pytest.approx(2.4 * mm))
    assert (needle.diameter, found.tests[0].bore_uncertainty) == (
        pytest.approx(0.603 * mm),
        pytest.approx(0.0181918, rel=1e-5),
    )
    taper, gauge = found.origin.notes
    assert taper == (
        "bench.toml, [[test]] 1: segment 1 of the nozzle, inlet_diameter = 'luer': the taper of a luer fitting, 6 % of diameter "
        "over length, was taken from its narrow to its wide end."
    )
    assert "segment 2 of the nozzle, diameter = '20G': the nominal bore" in gauge


def test_a_taper_by_a_number_and_from_its_wide_end():
    """5 % of 8 mm are 0.4 mm less than 4 mm."""
    found = one_run('nozzle = [{taper = "5 %", inlet_diameter = "4 mm", length = "8 mm"}]')
    assert found.tests[0].nozzle.bore == pytest.approx(3.6 * mm)


def test_what_no_taper_can_be_is_refused():
    (only,) = faults(lambda: one_run('nozzle = "luer taper"'))
    assert only.startswith(
        "bench.toml, [[test]] 1: nozzle = 'luer taper' is the name of a taper, which needs its narrow end and its"
    )
    assert 'write nozzle = [{taper = "luer", outlet_diameter = "3.9 mm", length = "8 mm"}' in only
    (only,) = faults(lambda: one_run('nozzle = [{taper = "20 %", inlet_diameter = "1 mm", length = "8 mm"}]'))
    assert only.endswith(
        "segment 1 of the nozzle, taper = '20 %' leaves nothing of the narrow end; correct taper or length"
    )
    (only,) = faults(lambda: one_run('nozzle = [{taper = "luer", length = "8 mm"}]'))
    assert only.endswith("a taper inlet_diameter, outlet_diameter and length, or one of the two and its taper")


# --- what a scale and a hand on a watch leave open ------------------------------------------------------------------

BOTTLE = (
    f'[specimen]\ndensity = "1000 kg/m3"\n[apparatus.syringe]\n{BARREL}plunger_friction = "6 ± 1 N"\n[[test]]\nkind = "syringe force"\n'
    'file = "t.csv"\napparatus = "syringe"\nread = "flow_rate"\nmodel_error = 0.1\nmodel_error_reason = "as set"\n'
    'bore = "1.0 mm ± 1 %"\nlength = "25 mm"\n'
)
CAUGHT = "load mass [kg], caught mass [g], catch time [s]\n4, 2, 100\n6, 5, 50\n9, 40, 20\n"


def test_rounding_of_a_mass_and_a_hand_on_a_watch_make_the_uncertainty_of_each_flow():
    """Q = m/(ρ t): u² = (u_m/ρt)² + (m u_t/ρt²)², u_m = 1/√12 g: 2 g in 100 s of 1 g/mL: √(2.88675² + 0.04²) mm³/s."""
    found = bench(BOTTLE + 'uncertainty = ["to 1 g", "0.2 s"]\n', t=CAUGHT)
    expected = [np.hypot(2.8867513, 0.04), np.hypot(5.7735027, 0.4), np.hypot(14.433757, 20.0)]
    np.testing.assert_allclose(found.tests[0].uncertainty, np.array(expected) * mm**3, rtol=1e-6)
    assert found.tests[0].relative_uncertainty is None
    with_share = bench(BOTTLE + 'uncertainty = ["to 1 g", "3 %"]\n', t=CAUGHT).tests[0]
    assert with_share.reading_errors[2] == pytest.approx(np.hypot(14.433757, 60.0) * mm**3, rel=1e-6)
    plain = bench(BOTTLE + 'uncertainty = ["0,3 g", "0.5 mm3/s"]\n', t=CAUGHT).tests[0]
    assert plain.uncertainty[0] == pytest.approx(np.hypot(3.0, 0.5) * mm**3, rel=1e-6)


def test_rounding_is_told_of_any_reading():
    """Rounded to 1 mm, or to 5 N: 1/√12 and 5/√12."""
    toml = '[specimen]\ndensity = "1100 kg/m3"\n[[test]]\nkind = "cylinder slump"\nfile = "t.csv"\nheight = "100 mm"\ndiameter = "100 mm"\n'
    found = bench(toml + 'uncertainty = "to 1 mm"\n', t="slump [mm]\n30\n32\n")
    assert found.tests[0].uncertainty == pytest.approx(0.28867513 * mm, rel=1e-7)
    assert one_run('bore = "1 mm"\nlength = "9 mm"', 'uncertainty = "to 5 N"').tests[0].uncertainty == pytest.approx(
        1.4433757
    )


@pytest.mark.parametrize(
    ("stated", "says"),
    [
        ('"to 1 %"', "'to 1 %': what a reading is rounded to is an amount, such as \"to 1 g\"; write a share without 'to'"),
        ('"0 g"', "'0 g' must be positive; leave it out if it is not known"),
        ('"to 1 ± 0.1 g"', "'to 1 ± 0.1 g' is an uncertainty itself; take ± and what follows away"),
        ('["1 g", "to 1 g"]', "'to 1 g' is given twice (in a column too?); keep one"),
        (
            '"0.5 N"',
            "the unit [N] is not that of a volume flow: write mm3/s, mL/min or m3/s; a share of the reading is written \"3 %\"; or "
            "that of the caught mass and catch time, which give it",
        ),
    ],
)  # fmt: skip
def test_what_is_no_uncertainty_of_a_flow_that_was_caught_is_refused(stated, says):
    assert faults(lambda: bench(BOTTLE + f"uncertainty = {stated}\n", t=CAUGHT)) == [
        f"bench.toml, [[test]] 1: uncertainty = {says}"
    ]


def test_the_uncertainty_of_what_was_set_is_no_uncertainty_of_the_reading():
    csv = "plunger speed [mm/s], force [N]\n0.1, 40\n0.2, 50\n"
    assert faults(lambda: one_run('bore = "1 mm"\nlength = "9 mm"', 'uncertainty = "0.01 mm/s"', csv)) == [
        "bench.toml, [[test]] 1: uncertainty = '0.01 mm/s' is of the plunger speed, which gives the flow rate, and that was set; state "
        'the uncertainty of the force, or write read = "flow_rate" if it is what was read'
    ]


def test_coarse_masses_without_an_uncertainty_are_told():
    """Of 2 g, 1/√12 g are 14 %; of the 40.00 g that follow below, nothing."""
    (note,) = [n for n in bench(BOTTLE, t=CAUGHT).origin.notes if "caught mass" in n]
    assert note == (
        "bench.toml, [[test]] 1: the caught mass is typed to 1 g, and rounding alone is 14 % of the least; no uncertainty is stated, so "
        'all readings count as equally well known: write uncertainty = "to 1 g".'
    )
    for fine in (BOTTLE + 'uncertainty = "to 1 g"\n', BOTTLE):
        csv = (
            CAUGHT if "uncertainty" in fine[-25:] else "load mass [kg], caught mass [g], catch time [s]\n4, 2.15, 100\n"
        )
        assert not any("caught mass" in n for n in bench(fine, t=csv).origin.notes)


def test_uncertainties_of_masses_are_written_back_as_typed():
    stated = 'uncertainty = ["to 1 g", "0,2 s"]\n'
    found = bench(BOTTLE + stated, t=CAUGHT)
    fewer = rk.Bench(found.specimen, [found.tests[0].where([True, False, True])], found.origin)
    files = bench_files(fewer)
    assert stated in files["bench.toml"].decode()
    assert files["t.csv"].decode() == "load mass [kg], caught mass [g], catch time [s]\n4, 2, 100\n9, 40, 20\n"
    again = read_files(Memory(files)).tests[0]
    np.testing.assert_array_equal(again.uncertainty, fewer.tests[0].uncertainty)
    known = replace(found.tests[0], uncertainty=np.array([1.0, 2.0, 3.0]) * mm**3)  # which no mass and time say
    again = read_files(Memory(bench_files(rk.Bench(found.specimen, [known], found.origin)))).tests[0]
    np.testing.assert_allclose(again.uncertainty, known.uncertainty, rtol=1e-12)
    np.testing.assert_allclose(again.flow_rate, known.flow_rate, rtol=1e-12)


def test_the_density_of_a_cup_is_lent_to_what_was_caught_with_its_uncertainty():
    """110, 111, 112 g in 100 mL: 1110 kg/m3, sd of its ln √(0.0114185² + 0.003²) = 0.0118061 (Student's t of test_property_tests).

    A rate that is 1.18061 % off stands at most for as much stress: √(0.1² + (ln 1.0118061)²) = 0.1006865.
    """
    toml = BOTTLE.replace('[specimen]\ndensity = "1000 kg/m3"\n', "").replace(
        'model_error = 0.1\nmodel_error_reason = "as set"\n', ""
    )
    toml += 'uncertainty = "to 1 g"\n[[test]]\nkind = "cup density"\nfile = "cup.csv"\ncup_volume = "100 mL"\n'
    found = bench(toml, t=CAUGHT, cup="mass [g]\n110\n111\n112\n")
    run = found.tests[0]
    assert run.flow_rate[0] == pytest.approx(2 / (1.11 * 100) * 1e-6, rel=1e-9)
    assert run.model_error == pytest.approx(0.1006865, rel=1e-5)
    assert any("with 1.2 % for the uncertainty of density" in note for note in found.origin.notes)


# --- force by a bottle, friction of the empty barrel ----------------------------------------------------------------


def test_a_bottle_of_known_mass_and_what_is_put_into_it_load_the_plunger():
    """(1000 + 45) g × 9.81 m/s² = 10.25145 N; 1000 g × 9.81 m/s² = 9.81 N."""
    toml = BOTTLE.replace(BARREL, BARREL + 'carrier_mass = "45 g"\n')
    csv = "added mass [g], caught mass [g], catch time [s]\n1000, 2, 100\n"
    assert bench(toml + 'uncertainty = "to 1 g"\n', t=csv).tests[0].force[0] == pytest.approx(10.25145, rel=1e-12)
    bare = BOTTLE.replace(BARREL, BARREL + 'carrier_mass = "0 g"\n')  # the masses stand on the plunger itself
    assert bench(bare + 'uncertainty = "to 1 g"\n', t=csv).tests[0].force[0] == pytest.approx(9.81, rel=1e-12)
    (only,) = faults(lambda: bench(BOTTLE + 'uncertainty = "to 1 g"\n', t=csv))
    assert only == (
        "bench.toml, [[test]] 1: force from added mass needs carrier_mass: mass of what carries a load: the empty bottle, a tray; write "
        'carrier_mass = "45 g" in its apparatus'
    )


@pytest.mark.parametrize(
    ("place", "where"), [(BARREL, "[apparatus.syringe]"), ('file = "t.csv"\n', "[[test]] 1")], ids=["apparatus", "test"]
)
def test_the_mass_of_a_carrier_beside_loads_that_hold_it_is_refused(place, where):
    toml = BOTTLE.replace(place, place + 'carrier_mass = "45 g"\n') + 'uncertainty = "to 1 g"\n'
    assert faults(lambda: bench(toml, t="load mass [g], caught mass [g], catch time [s]\n1000, 2, 100\n")) == [
        f"bench.toml, {where}: carrier_mass = '45 g' counts for a column of added mass alone, and there is none: take it out, or "
        "head the column added mass if it is that"
    ]


def test_the_mass_of_a_carrier_goes_with_the_columns_that_needed_it(tmp_path):
    """Readings that were changed are written as forces, beside which it counts for nothing."""
    csv = "added mass [g], caught mass [g], catch time [s]\n1000, 2, 100\n1500, 4, 100\n"
    for place in (BARREL, 'file = "t.csv"\n'):
        toml = BOTTLE.replace(place, place + 'carrier_mass = "45 g"\n') + 'uncertainty = "to 1 g"\n'
        found = bench(toml, t=csv)
        run = found.tests[0]
        changed = rk.Bench(found.specimen, [replace(run, force=run.force * 1.01, uncertainty=0.1)], found.origin)
        again = rk.write_bench(changed, tmp_path / place[:4])
        assert again.tests[0].force == pytest.approx(run.force * 1.01, rel=1e-12)


FRICTION = '[[test]]\nkind = "empty barrel"\nfile = "f.csv"\napparatus = "syringe"\n'
CREEPS = "load mass [g]\n600\n650\n700\n"
WITHOUT = BOTTLE.replace('plunger_friction = "6 ± 1 N"\n', "") + 'uncertainty = "to 1 g"\n'


def test_the_friction_of_the_empty_barrel_is_lent_to_the_runs_of_its_apparatus_with_its_spread():
    """0.65 kg × 9.81 = 6.3765 N; sd 50 g, N = 3: 50/√3 × 2.195271 = 63.3720 g of 650 g, √(0.0974954² + 0.1²) = 0.139662."""
    found = bench(WITHOUT + FRICTION, t=CAUGHT, f=CREEPS)
    run = found.tests[0]
    assert run.extruder.plunger_friction == pytest.approx(6.3765, rel=1e-9)
    assert run.plunger_friction_uncertainty == pytest.approx(6.3765 * 0.139662, rel=1e-5)
    (note,) = [n for n in found.origin.notes if "plunger_friction" in n]
    assert note == (
        "plunger_friction of [apparatus.syringe] is not stated; 6.38 ± 0.89 N, measured by the empty barrel test ([[test]] 2: empty "
        "barrel, 3 readings), was taken."
    )
    assert "plunger_friction" not in found.properties()  # of the syringe, and not of the paste
    fit = rk.fit(rk.PowerLaw, found)
    prior = fit.problem.nuisances["plunger_friction[syringe]"]
    assert (prior.middle, prior.spread) == (run.extruder.plunger_friction, run.plunger_friction_uncertainty)


def test_a_friction_that_is_stated_stays_and_the_note_says_how_far_the_test_is_off():
    """ln(6.3765/3) over √(0.139662² + (0.1/3)²) is 5.3; 6 ± 1 N agrees."""
    stated = BOTTLE.replace("6 ± 1 N", "3 ± 0.1 N") + 'uncertainty = "to 1 g"\n'
    found = bench(stated + FRICTION, t=CAUGHT, f=CREEPS)
    assert found.tests[0].extruder.plunger_friction == 3.0
    (note,) = [n for n in found.origin.notes if "plunger_friction" in n]
    assert note == (
        "plunger_friction = 3 ± 0.1 N was taken as [apparatus.syringe] states it, and not 6.38 ± 0.89 N, measured by the empty barrel "
        "test ([[test]] 2: empty barrel, 3 readings): they lie 5.3 standard deviations apart, look for the cause."
    )
    agrees = bench(BOTTLE + 'uncertainty = "to 1 g"\n' + FRICTION, t=CAUGHT, f=CREEPS).origin.notes
    assert any(n.startswith("plunger_friction = 6 ± 1 N was taken") and "apart" not in n for n in agrees)


def test_a_friction_that_the_test_itself_states_is_not_said_to_be_missing():
    own = WITHOUT.replace('apparatus = "syringe"\n', 'apparatus = "syringe"\nplunger_friction = "3 ± 0.1 N"\n')
    assert own != WITHOUT
    found = bench(own + FRICTION, t=CAUGHT, f=CREEPS)
    assert found.tests[0].extruder.plunger_friction == 3.0
    (note,) = [n for n in found.origin.notes if "plunger_friction" in n]
    assert note.startswith("plunger_friction = 3 ± 0.1 N was taken as [[test]] 1 states it, and not 6.38 ± 0.89 N")


@pytest.mark.parametrize(
    ("creeps", "says"),
    [
        ("force [N]\n0\n0\n", "f.csv, bench.toml, [[test]] 2: empty barrel: force is 0 in every row: no plunger glides without friction; "
         "read it finer, or leave the test out."),
        ("force [N]\nmany\n", "f.csv, row 2, column 1 (force [N]): 'many' is not a number; write digits with a decimal point, such as 40.1"),
    ],
    ids=["no friction", "no number"],
)  # fmt: skip
def test_what_is_wrong_with_a_friction_is_told_once(creeps, says):
    """And not again as a friction that is missing of the run."""
    assert faults(lambda: bench(WITHOUT + FRICTION, t=CAUGHT, f=creeps)) == [says]


def test_a_lent_friction_is_of_one_apparatus_alone():
    other = FRICTION.replace('"syringe"', '"other"')
    missing = faults(lambda: bench(WITHOUT + "[apparatus.other]\n" + other, t=CAUGHT, f=CREEPS))
    assert missing == [
        "bench.toml, [[test]] 1: a syringe force needs plunger_friction: force to move the plunger without paste; write "
        "plunger_friction = \"8 ± 1 N\" in its apparatus, or add a test of kind 'empty barrel'"
    ]


def test_a_lent_friction_stays_unstated_when_the_bench_is_written_and_is_stated_without_its_test():
    found = bench(WITHOUT + FRICTION, t=CAUGHT, f=CREEPS)
    run, empty = found.tests
    fewer = rk.Bench(found.specimen, [run.where([True, False, True]), empty], found.origin)
    files = bench_files(fewer)
    assert b"plunger_friction" not in files["bench.toml"]
    assert read_files(Memory(files)).tests[0].plunger_friction_uncertainty == run.plunger_friction_uncertainty
    alone = read_files(Memory(bench_files(rk.Bench(found.specimen, [run], found.origin)))).tests[0]
    assert (alone.extruder.plunger_friction, alone.plunger_friction_uncertainty) == (
        run.extruder.plunger_friction,
        run.plunger_friction_uncertainty,
    )


# --- the whole bench ------------------------------------------------------------------------------------------------

FLOW = 20 * mm**3  # of use
doubted = pytest.mark.filterwarnings("ignore::rheokit.errors.RheokitWarning")  # what few coarse readings leave open


def fitted(made):
    return rk.fit(rk.HerschelBulkley, made.bench)


def cases(made, fit):
    """Return the case of the kitchen as its fit has it, and as it is."""
    job = rk.PrintJob(print_speed=FLOW / (0.75 * (0.6 * mm) ** 2), layer_height_to_bore=0.6, line_width_to_bore=1.25)
    nominal, hand = made.bench.tests[0].extruder, rk.HandDrive(force=20.0)
    real = rk.Material(paste=rk.Paste(law=made.law, density=1100.0, grain_size=0.12 * mm))
    as_fitted = rk.Case.of(rk.Material.of(fit), syringe(nominal.nozzle.bore, nominal.plunger_friction, hand), job)
    return as_fitted, rk.Case.of(real, syringe(made.rig.nozzle.bore, made.rig.plunger_friction, hand), job)


@doubted
def test_a_kitchen_comes_from_typed_rows_to_law_force_and_verdict():
    made = kitchen(3)
    fit = fitted(made)
    assert fit.law.flow_index == pytest.approx(0.42, abs=0.15)  # rounding alone allows as much
    rig = syringe(0.603 * mm, made.bench.tests[0].extruder.plunger_friction)
    force = fit.interval(lambda law, extruder: extruder.plunger_force(law, flow_rate=FLOW), extruder=rig)
    assert force.low < made.rig.plunger_force(made.law, FLOW) < force.high
    assert "as fitted" in force.comment
    notes = " ".join(made.bench.origin.notes)
    for word in (
        "nominal bore",
        "measured by the cup density test",
        "measured by the empty barrel test",
        "barrel_drag",
    ):
        assert word in notes
    words = rk.verdict(cases(made, fit)[0])
    assert "Not judged: speed floor (porosity, drag diameter, liquid viscosity not known)." in words
    table = rk.Material.of(fit).table
    assert "at most this: 100 % passed the finest sieve" in table.origin["grain_size"]
    assert "cup density" in table.origin["density"]


@pytest.mark.slow
@doubted
def test_limits_of_law_force_and_verdict_hold_the_truth_of_kitchens():
    """24 invented kitchens, masses to 1 g, times by hand, bores within the tolerance of a 20 gauge needle, theory 10 % off.

    Where 95 % are held, fewer than 20 of 24 are so in 0.6 % of such counts (binomial). Seeds 0 to 119 by hand: yield stress, consistency
    and flow index held in 117, 115 and 115 of 120, the force in 114, no verdict wrong; with 4 % of scatter that is stated besides 117, 117,
    116 and 115; with "to 1 g" read as a fifth of it the flow index in 32. A verdict is wrong where it is sure of what is not so.
    """
    count, hits = 24, Counter()
    for seed in range(count):
        made = kitchen(seed)
        fit = fitted(made)
        for name, value in made.law.values.items():
            row = fit.table.loc[name]
            hits[name] += bool(not row.low > value and not row.high < value)  # what has no limit is NaN there
        rig = syringe(0.603 * mm, made.bench.tests[0].extruder.plunger_friction)
        force = fit.interval(lambda law, extruder: extruder.plunger_force(law, flow_rate=FLOW), extruder=rig)
        hits["force"] += bool(force.low <= made.rig.plunger_force(made.law, FLOW) <= force.high)
        as_fitted, real = cases(made, fit)
        job, material = as_fitted.job, rk.Material.of(fit)
        sure = float(chance(material, as_fitted.extruder, job, ["hand force"], draws=1000).probability.item())
        inside = bool(rk.judge(real, "hand force").margin.iloc[0] >= 0)
        hits["verdict"] += not (sure > 0.975 and not inside) and not (sure < 0.025 and inside)
    assert min(hits.values()) >= 20, hits
