"""What an appendix says of uncertainty holds together: batches, shares, exact numbers, what was assumed, how draws converge.

The folder is INVENTED: readings of one law, two batches a factor of 1.1 apart, with a scatter of 2 %.
"""

import numpy as np
import pytest
from test_appendix_sections import DATA

import rheokit as rk
from rheokit.appendix.document import Table
from rheokit.appendix.sections import (
    assumed,
    environment,
    estimates,
    forces,
    model,
    next_reading,
    part,
    summary,
    uncertainty_budget,
)
from rheokit.appendix.study import Study
from rheokit.sampling import errors_of_limits
from rheokit.units import mm

LAW = rk.HerschelBulkley(yield_stress=440.0, consistency=90.0, flow_index=0.5)  # invented
BENCH = """[specimen]
paste = "invented paste"
batch = "A"
density = "1180 ± 6 kg/m3"
air_content = "2.1 %"
invented = true

[apparatus.syringe]
barrel_diameter = "22.50 ± 0.04 mm"
fill_length = "55 ± {fill} mm"
plunger_friction = "6.2 ± 0.6 N"
barrel_drag = 1

[apparatus.plates]
volume = "4.0 ± 0.1 mL"
force = "6.13 ± 0.02 N"
"""
RUN = """
[[test]]
kind = "syringe force"
label = "{label}"
file = "{label}.csv"
batch = "{batch}"
apparatus = "syringe"
bore = "1.80 ± 0.02 mm"
length = "{length:.1f} ± 0.1 mm"
read = "force"
uncertainty = ["0.2 N", "2 %"]
{more}
"""
PLATE = """
[[test]]
kind = "loaded plate"
file = "plate.csv"
apparatus = "plates"
uncertainty = "0.3 mm"
"""
PLAN = """[fit]
law = "Herschel-Bulkley"
[machine]
origin = "measured"
barrel_diameter = "24.0 mm"
fill_length = "70 mm"
plunger_friction = "7 N"
break_loose_friction = "11 N"
pressure_rating = "900 kPa"
[nozzle]
bore = "1.5 mm"
inlet_diameter = "8 mm"
taper_length = "15 mm"
land_length = "6 mm"
[drive]
kind = "screw"
torque = "0.12 N·m"
lead = "2 mm"
efficiency = 0.3
[job]
kind = "print"
origin = "our test piece"
[print]
print_speed = "12 mm/s"
layer_height_to_bore = 0.65
line_width_to_bore = 1.2
part_height = "9 mm"
shape = "straight wall"
[properties]
build_up_rate = {value = "0.1 Pa/s", origin = "assumed: like a clay"}
"""


def written(place, fill=2, more=""):
    """Write the folder, and return its place."""
    place.mkdir(parents=True)
    random, text = np.random.default_rng(4), BENCH.format(fill=fill)
    for label, batch, length, stiffer in (
        ("short", "A", 15.0, 1.0),
        ("long", "A", 45.0, 1.0),
        ("other", "B", 30.0, 1.1),
    ):
        nozzle = rk.Nozzle(rk.Cylinder(diameter=1.8 * mm, length=length * mm))
        rig = rk.Extruder(barrel_diameter=22.5 * mm, fill_length=55 * mm, nozzle=nozzle, plunger_friction=6.2)
        law = rk.HerschelBulkley(LAW.yield_stress * stiffer, LAW.consistency * stiffer, LAW.flow_index)
        speed = np.geomspace(0.004, 0.8, 7)
        force = rig.plunger_force(law, speed * mm * rig.area) * np.exp(0.02 * random.standard_normal(7))
        rows = "\n".join(f"{one:.4g}, {other:.1f}" for one, other in zip(speed, force, strict=True))
        (place / f"{label}.csv").write_text(f"plunger speed [mm/s], force [N]\n{rows}\n", "utf-8")
        text += RUN.format(label=label, batch=batch, length=length, more=more)
    (place / "plate.csv").write_text("radius [mm]\n24.2\n24.4\n24.6\n", "utf-8")
    (place / "bench.toml").write_text(text + PLATE, "utf-8")
    (place / "plan.toml").write_text(PLAN, "utf-8")
    return place


@pytest.fixture(scope="module")
def study(tmp_path_factory):
    return Study(rk.Workbook.open(written(tmp_path_factory.mktemp("uncertain") / "paste")))


def tables(section):
    """Return every table of a section and its parts by name."""
    found = {one.name: one for one in section.blocks if isinstance(one, Table)}
    for one in section.sections:
        found |= tables(one)
    return found


def said(section):
    """Return all text of a section and its parts."""
    own = [
        text
        for one in section.blocks
        for text in (getattr(one, "text", ""), getattr(one, "caption", ""), getattr(one, "note", ""))
        if text
    ]
    return "\n".join([*own, *(said(one) for one in section.sections)])


HELD = "of the median batch, how badly the 2 batches read tell it included, how far the next batch lies off it"


@pytest.mark.slow
def test_what_an_interval_holds_of_batches_is_said_in_the_same_words_everywhere(study):
    held, force = f"{HELD} left out", f"{HELD} and the error of the nozzle's theory left out"
    assert study.held == held
    assert f"Values of the law and their limits are {held}." in said(estimates.section(study))
    told = dict(tables(summary.section(study))["summary"].rows)
    assert f"limits of the fit alone: {force}" in told["force on the plunger to run"]
    assert f"limits of the fit alone: {force}" in told["pressure at the plunger face"]
    assert f"limits of the fit alone: {force}." in tables(forces.section(study))["forces"].caption
    assert f"Each budget is {held}." in said(uncertainty_budget.section(study))
    standing = tables(part.section(study))["standing"]
    assert "of the next batch, how far it lies off those read included" in standing.caption
    assert "“Which reading next”" in standing.note


@pytest.mark.slow
def test_what_a_share_is_a_share_of_is_said_where_it_stands(study):
    budget = said(uncertainty_budget.section(study))
    assert "share of the variance of the answer, to first order, that comes in with one input" in budget
    assert "Shares under “Which reading next” are others" in budget
    following = next_reading.section(study)
    assert "They are no shares of an uncertainty budget" in said(following)
    for name, end in (
        ("force-at-this-speed", "and the error of the nozzle's theory left out."),
        ("wall-height", "dry size”."),
    ):
        caption = tables(following)[f"next-reading-{name}"].caption
        assert HELD in caption and caption.endswith(end)


@pytest.mark.slow
def test_every_spread_that_was_assumed_stands_with_its_width(study):
    shown = {row[0]: row for row in tables(assumed.section(study))["assumed-spreads"].rows}
    widths = {name: (row[1].value, row[2]) for name, row in shown.items()}
    assert widths["theory of the syringe force"] == (pytest.approx(0.1), "sd of ln")
    assert widths["theory of the loaded plate"] == (pytest.approx(0.15), "sd of ln")
    assert widths["criterion of yield, von Mises against others"] == (pytest.approx(0.08), "sd of ln")
    assert widths["friction at the wall of the plates, plates"] == (pytest.approx(0.1), "sd")
    assert widths["air content"] == (pytest.approx(0.3), "sd of ln")
    assert "build up rate" not in shown  # which moves nothing while nothing says for how long it grows
    assert widths["error of the bore, of the job"] == (pytest.approx(1), "sd, %")
    assert "density" not in shown  # stated with ±
    row = study.fit.table.loc["batch_spread"]
    batches = shown["spread of ln stress from batch to batch s_b"]
    assert batches[1].value == pytest.approx(row.value)
    assert f"95 % limits {row.low:.2g} to {row.high:.2g}" in batches[4]
    priors = [key for key, one in study.fit.problem.nuisances.items() if np.isfinite(one.spread)]
    assert len(priors) == 10  # three bores and a friction were stated, two batches are one spread: four others
    assert sum("common practice" in row[4] for row in shown.values()) == len(shown)


@pytest.mark.slow
def test_the_spread_of_a_ratio_that_is_not_1_stands_in_its_ln_as_its_prior_has_it():
    study = Study(rk.Workbook.open(DATA / "olive-stone-paste"))
    (prior,) = (one for key, one in study.fit.problem.nuisances.items() if key.name == "static_ratio")
    assert prior.middle != 1
    (row,) = (row for row in tables(assumed.section(study))["assumed-spreads"].rows if row[0].startswith("static"))
    assert (row[1].value, row[2]) == (pytest.approx(prior.spread), "sd of ln")


def error_model(place):
    section = model.section(Study(rk.Workbook.open(place)))
    return section, {
        row[0]: dict(zip(tables(section)["error-model"].columns, row, strict=True))
        for row in tables(section)["error-model"].rows
    }


@pytest.mark.slow
def test_how_each_residual_is_formed_is_what_the_fit_does(study, tmp_path):
    """Kind: exact. The residual that is described, computed by hand from reading and prediction, is that of the fit."""
    section, rows = error_model(study.book.folder)
    method = "\n".join(item for block in section.blocks for item in getattr(block, "texts", ()))
    assert "u² = a² + (s × reading)²" in method and "ln(reading/prediction)/s" in method
    assert "kept, with full weight" in method and "plain square, not a robust one" in method
    scale = "residual on the scale of"
    assert rows["syringe force 'short'"][scale] == "the reading, parts in quadrature"
    assert rows["loaded plate"][scale] == "the reading"
    frame = study.fit.residuals
    for name, amount, share in (("syringe force 'short'", 0.2, 0.02), ("loaded plate", 0.3e-3, 0.0)):
        own = frame[frame["name"] == name]
        u = np.sqrt(amount**2 + (share * own.reading) ** 2)
        assert own.residual.to_numpy() == pytest.approx(
            ((own.reading - own.predicted) / u).to_numpy(), rel=1e-6, abs=1e-9
        )

    place = written(tmp_path / "shares")
    text = (place / "bench.toml").read_text("utf-8").replace('["0.2 N", "2 %"]', '"2 %"')
    (place / "bench.toml").write_text(text, "utf-8")
    _, rows = error_model(place)
    assert rows["syringe force 'short'"][scale] == "its logarithm"
    frame = rk.Workbook.open(place).fit.residuals
    own = frame[frame["name"] == "syringe force 'short'"]
    assert own.residual.to_numpy() == pytest.approx(
        np.log(own.reading / own.predicted).to_numpy() / 0.02, rel=1e-6, abs=1e-9
    )


@pytest.mark.slow
def test_a_fill_that_was_stated_with_its_uncertainty_is_an_input(study, tmp_path):
    """Kind: independent. What 2 mm of fill are worth as a factor on every stress, by forces of the true law."""
    other = rk.Workbook.open(written(tmp_path / "exactly", fill=0.0001))
    with_it, without = (
        next(one.model_error for one in book.bench.tests if one.name == "syringe force 'short'")
        for book in (study.book, other)
    )
    nozzle = rk.Nozzle(rk.Cylinder(diameter=1.8 * mm, length=15 * mm))
    speed = np.geomspace(0.004, 0.8, 7) * mm

    def force(fill=55.0, stiffer=1.0):
        rig = rk.Extruder(barrel_diameter=22.5 * mm, fill_length=fill * mm, nozzle=nozzle, plunger_friction=6.2)
        law = rk.HerschelBulkley(LAW.yield_stress * stiffer, LAW.consistency * stiffer, LAW.flow_index)
        return np.log(rig.plunger_force(law, speed * rig.area))

    worth = np.mean((force(fill=57.0) - force()) / (force(stiffer=1.01) - force()) * 0.01)
    assert worth == pytest.approx(0.0041, abs=0.0015)  # under half a percent of the stress
    assert np.sqrt(with_it**2 - without**2) == pytest.approx(worth, rel=0.2)
    assert any("fill_length" in note for note in study.book.bench.origin.notes if "model_error" in note)
    budget = tables(uncertainty_budget.section(study))["budget-force"]
    assert (
        "stated dimensions of the syringe force (barrel diameter, fill length, length), as a factor on its stress"
        in [row[0] for row in budget.rows]
    )


@pytest.mark.slow
def test_what_was_stated_with_its_uncertainty_and_counts_nowhere_is_said_so(tmp_path):
    """A model error that is stated takes the place of what the dimensions would add: each stands among the exact numbers, with that."""
    study = Study(
        rk.Workbook.open(written(tmp_path / "stated", more='model_error = 0.12\nmodel_error_reason = "a guess"'))
    )
    found = tables(uncertainty_budget.section(study))
    assert not any("stated dimensions of the syringe" in row[0] for row in found["budget-force"].rows)
    rows = [row[0] for row in found["budget-force-exact"].rows]
    for name in ("barrel diameter", "fill length", "length of the land"):
        assert f"{name} (stated with ±, which the stated model error of its test is to hold), syringe" in rows


@pytest.mark.slow
def test_exact_numbers_of_every_answer_are_whole(study):
    found = tables(uncertainty_budget.section(study))
    rows = {row[0]: row[3].value for row in found["budget-force-exact"].rows}
    planned = (
        "barrel diameter",
        "bore at the same flow",
        "length of the land",
        "length of the taper",
        "inlet of the taper",
        "fill length",
        "barrel drag",
        "plunger friction",
    )
    assert {f"{one}, planned extruder" for one in planned} <= rows.keys()
    assert {
        f"{one}, planned job" for one in ("print speed", "layer height over the bore", "line width over the bore")
    } <= rows.keys()
    assert rows["flow rate by its plunger speed, syringe, all rows"] < 0 < rows["print speed, planned job"]
    assert [row[0] for row in found["budget-yield-stress-exact"].rows] == ["barrel drag, syringe"]


@pytest.mark.slow
def test_how_many_draws_stand_behind_a_number_and_how_far_they_converged_is_said(study):
    """Kind: independent. The ends of the force, drawn with other seeds, scatter as much as is said of them."""
    rows = {row[0]: row for row in tables(environment.section(study))["draws"].rows}
    name = next(one for one in rows if one.startswith("Force on the plunger") and "uncertainty budget" in one)
    (_, budget), *_ = study.budgets
    low, high = budget.drawn_errors
    assert rows[name][1] == "1000"
    assert f"{low:.2g} N" in rows[name][2] and f"{high:.2g} N" in rows[name][2]
    assert (
        f"standard error of these ends by the number of draws: {low:.2g} N"
        in tables(uncertainty_budget.section(study))["budget-force"].note
    )
    fit, case = study.fit, study.case
    rig = fit.known(study.extruder)
    ends, told = [], [(low, high)]
    for seed in range(1, 33):
        drawn = fit.draw(1000, seed)
        law, values = fit.problem.law(drawn.theta), fit.problem.nuisance_values(drawn.theta)
        force = rig.at(values).plunger_force(law, float(case.flow_rate))
        ends.append(np.quantile(force, (0.025, 0.975)))
        told.append(errors_of_limits(force, drawn.effective))
    assert np.mean(told, axis=0) == pytest.approx(
        np.std(ends, axis=0, ddof=1), rel=0.4
    )  # so many tell their own scatter to an eighth
    for one in (
        "force of the next batch",
        "force to start after the rest, of the fit alone",
        "chance that every limit judged holds",
    ):
        assert rows[one][1].isdigit()
    assert "standard error of these ends by their number" in tables(forces.section(study))["forces"].note
    assert "Standard error of the limits at which the foot yields" in tables(part.section(study))["standing"].note
