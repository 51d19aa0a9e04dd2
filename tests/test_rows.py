"""Rows are counted as in the file, and a residual is read minus predicted, wherever either is shown.

Kind       exact: one reading is wrong on purpose, and its place and sign are known.
"""

import re
import warnings
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

import rheokit as rk
from rheokit import charts
from rheokit.bench import KINDS
from rheokit.corrections import bagley, mooney, rabinowitsch, two_lengths
from rheokit.fitting import checks
from rheokit.fitting.residuals import lines
from rheokit.nomenclature import written
from rheokit.reading.origin import FileRows
from rheokit.units import mm
from rheokit.widgets.fit.typed_bench import typed_bench

TRUTH = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
RATES = np.geomspace(5, 200, 8)
WRONG = 5  # place of the wrong reading; a comment and an empty line stand above it in the file
HEAD = "# readings of a Monday\nshear rate [1/s], shear stress [Pa]\n"
FILE_ROW = 9  # comment, headers, four rows, an empty line, one row, the wrong one
TOML = '[[test]]\nkind = "flow curve"\nfile = "curve.csv"\nuncertainty = "3 %"\n'


def stresses(factor=1.5):
    values = TRUTH.shear_stress(RATES)
    values[WRONG] *= factor
    return values


def folder(tmp_path, head=HEAD, factor=1.5):
    rows = [f"{rate:.6g}, {stress:.6g}" for rate, stress in zip(RATES, stresses(factor), strict=True)]
    (tmp_path / "curve.csv").write_text(head + "\n".join([*rows[:4], "", *rows[4:]]) + "\n", encoding="utf-8")
    (tmp_path / "bench.toml").write_text(TOML, encoding="utf-8")
    return tmp_path


def fitted(*given):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return rk.fit(rk.HerschelBulkley, *given)


# --- rows -----------------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_row_is_the_line_of_the_file_in_table_check_and_chart(tmp_path):
    result = fitted(rk.read_bench(folder(tmp_path)))
    lines_of_file = (tmp_path / "curve.csv").read_text(encoding="utf-8").splitlines()
    assert lines_of_file[FILE_ROW - 1].startswith(f"{RATES[WRONG]:.6g}, ")
    assert list(result.residuals.row) == [3, 4, 5, 6, 8, 9, 10, 11]
    (check,) = checks.strays(result)
    assert f"flow curve row {FILE_ROW} (" in check.comment
    assert f"is flow curve, row {FILE_ROW}." in charts.misfits.words(result, charts.RATE)
    drawn = str(charts.residuals(result).to_dict()["datasets"])
    assert f"'what': {FILE_ROW}," in drawn
    assert f"row {FILE_ROW}, at 1." in charts.read_against_predicted(result).to_dict()["description"]


def test_rows_left_out_do_not_shift_the_others(tmp_path):
    (test,) = rk.read_bench(folder(tmp_path)).tests
    kept = test.where(np.arange(8) >= 3)
    assert list(kept.row_numbers) == [6, 8, 9, 10, 11]
    assert kept.rows_where(kept.shear_rate > RATES[4] * 1.01) == "rows 9, 10, 11"
    assert kept.rows_where([0]) == "row 6"


def test_a_record_without_a_file_counts_from_one():
    curve = rk.FlowCurve(shear_rate=RATES, shear_stress=stresses(), relative_uncertainty=0.03)
    result = fitted(curve)
    assert list(result.residuals.row) == list(range(1, 9))
    (check,) = checks.strays(result)
    assert f"flow curve row {WRONG + 1} (" in check.comment
    assert curve.rows_where(curve.shear_rate > 0) == "rows 1, 2, 3, 4, 5 and 3 more"


def test_what_a_record_refuses_names_the_row_of_the_file(tmp_path):
    """The same fault, refused by the record itself, with a file and without."""
    made = folder(tmp_path)
    (made / "bench.toml").write_text('[[test]]\nkind = "oven moisture"\nfile = "curve.csv"\n', encoding="utf-8")
    (made / "curve.csv").write_text(
        "# INVENTED\ntare mass [g], wet mass [g], dry mass [g]\n20, 30, 25\n\n20, 25, 30\n", encoding="utf-8"
    )
    with pytest.raises(rk.ReadingError, match=r"oven moisture: row 5: dish 0\.02 kg, dry 0\.03 kg, wet 0\.025 kg"):
        rk.read_bench(made)
    with pytest.raises(rk.DataError, match=r"oven moisture: row 2: dish 0\.02 kg"):
        KINDS["oven moisture"](tare_mass=[0.02, 0.02], wet_mass=[0.03, 0.025], dry_mass=[0.025, 0.03])


def test_a_correction_names_the_row_of_the_file(tmp_path):
    (tmp_path / "bench.toml").write_text(
        '[[test]]\nkind = "pressure run"\nfile = "run.csv"\nbore = "2 mm ± 1 %"\nlength = "100 mm"\nread = "pressure"\n'
        'uncertainty = "1 %"\n',
        encoding="utf-8",
    )
    land = rk.Nozzle(rk.Cylinder(diameter=2 * mm, length=100 * mm))
    flow = RATES * np.pi * (2 * mm) ** 3 / 32
    pressure = land.pressure_drop(TRUTH, flow)
    pressure[WRONG] *= 1.25
    rows = [f"{q * 1e9:.6g}, {p / 1e3:.6g}" for q, p in zip(flow, pressure, strict=True)]
    (tmp_path / "run.csv").write_text(
        "\n".join(["flow rate [mm3/s], gauge pressure [kPa]", *rows]) + "\n", encoding="utf-8"
    )
    (run,) = rk.read_bench(tmp_path).tests
    table = rabinowitsch(run)
    assert list(table.table.row) == list(range(2, 10))
    assert any(f"look at pressure run, row {WRONG + 2} (" in note for note in table.notes)


def lands(*lengths, bore=2 * mm, rates=RATES, starts=(2, 4, 5)):
    """Runs of lands, each read from the greatest rate down, with the row numbers of their files from `starts`."""
    runs = []
    for length, start in zip(lengths, starts, strict=False):
        nozzle = rk.Nozzle(rk.Cylinder(diameter=bore, length=length))
        flow = np.sort(rates)[::-1] * np.pi * bore**3 / 32
        run = rk.PressureRun(nozzle=nozzle, flow_rate=flow, pressure=nozzle.pressure_drop(TRUTH, flow),
                             relative_uncertainty=0.02, label=f"{length * 1e3:g} long",
                             origin=FileRows(tuple(range(start, start + len(flow)))))  # fmt: skip
        runs.append(run)
    return runs


def wrong(run, place, factor=1.04):
    return replace(run, pressure=run.pressure * np.where(np.arange(len(run.pressure)) == place, factor, 1.0))


def test_the_row_of_the_file_goes_through_every_correction():
    """The third from the top of the second land is 4 % high: row 6 of its file; slower rates stand below."""
    short, middle, long = lands(10 * mm, 20 * mm, 40 * mm)
    plot = bagley([short, wrong(middle, 2), long])
    assert list(plot.table.row) == [f"{k}; {k + 2}; {k + 3}" for k in range(9, 1, -1)]
    assert set(plot.table.runs) == {"; ".join(run.name for run in (short, middle, long))}
    rate = RATES[-3]
    read = {"10 long": (4, 5, short.pressure[2]), "20 long": (6, 10, wrong(middle, 2).pressure[2]),
            "40 long": (7, 20, long.pressure[2])}  # fmt: skip
    said = [f"is pressure run '{name}', row {row} (L/D {ratio}, {written(rate, '1/s', 4)}, {written(p, 'Pa', 4)}):"
            for name, (row, ratio, p) in read.items()]  # fmt: skip
    assert sum(one in plot.notes[0] for one in said) == 1
    assert plot.notes[0].endswith("Of three on a line it cannot be told which one is off; look at all three.")
    after = rabinowitsch(plot)
    assert list(after.table.row) == list(plot.table.row)
    stress = plot.table.wall_shear_stress
    places = [
        f"rows {row} ({written(r, '1/s', 4)}, {written(s, 'Pa', 4)}):"
        for row, r, s in zip(plot.table.row, RATES, stress, strict=True)
    ]
    assert any(f"is {place}" in after.notes[0] for place in places)
    assert f"Rows are those of {plot.table.runs[0]}, in that order." in after.notes
    assert list(two_lengths(lands(10 * mm, 40 * mm, starts=(2, 2))).table.row) == list(range(9, 1, -1))


def test_readings_of_two_records_that_are_averaged_are_both_named():
    runs = lands(10 * mm, 20 * mm, 40 * mm)
    again = [replace(run, label=f"again {run.label}") for run in runs]
    again[1] = wrong(again[1], 2, 1.2)
    plot = bagley([*runs, *again])
    assert plot.table.row[0].startswith("9 of pressure run '10 long' and 9 of pressure run 'again 10 long'; 11 of")
    assert re.search(
        r"is rows (\d) of pressure run '(\d0 long)' and \1 of pressure run 'again \2' \(L/D ", plot.notes[0]
    )


def test_mooney_names_the_row_of_the_file():
    runs = [lands(100 * bore, bore=bore, starts=(start,))[0] for bore, start in ((1 * mm, 2), (2 * mm, 2), (4 * mm, 7))]
    runs[2] = replace(runs[2], flow_rate=runs[2].flow_rate * np.where(np.arange(8) == 3, 1.03, 1.0))
    slip = mooney([replace(run, read="flow_rate") for run in runs])
    assert list(slip.table.row) == [f"{k}; {k}; {k + 5}" for k in range(9, 1, -1)]
    assert slip.table.runs[0] == "; ".join(dict.fromkeys(run.name for run in runs))
    assert re.search(r"Farthest off of 24 readings is pressure run '[124]00 long', row \d+ \([124] mm, ", slip.notes[0])


def test_an_interpolated_row_is_named_by_its_rate_and_says_so():
    short, long = lands(10 * mm, 40 * mm, starts=(2, 2))
    between = replace(long, flow_rate=long.flow_rate * 0.9, pressure=long.pressure * 0.97)
    step = two_lengths([short, between])
    assert list(step.table.interpolated) == [True] * 7
    assert step.table.row[0] == "9; between rows 9 and 8"
    said = rabinowitsch(step).notes[0]
    assert re.search(r"is [\d.]+ 1/s, [\d.]+ k?Pa \(interpolated\): ", said)


@pytest.mark.parametrize(("change", "row"), [
    (lambda table: table, 6), (lambda table: table[table.index > 0], 6),
    (lambda table: table.assign(row=table.index + 20), 25), (lambda table: table.set_index(table.index.astype(str)), 6),
])  # fmt: skip
def test_a_table_of_the_user_counts_by_its_index_or_its_own_rows(change, row):
    table = pd.DataFrame({"apparent_shear_rate": RATES, "wall_shear_stress": TRUTH.wall_shear_stress(RATES)})
    table.loc[5, "wall_shear_stress"] *= 1.3
    found = rabinowitsch(change(table))
    assert row in list(found.table.row)
    at = f"row {row} ({written(RATES[5], '1/s', 4)}, {written(table.wall_shear_stress[5], 'Pa', 4)})"
    assert any(f"look at {at}: " in note for note in found.notes)
    assert "row" not in table


def test_rows_of_the_page_are_those_of_the_file_it_becomes(tmp_path):
    """Typed with an empty row in between: table, fit and saved file say the same number."""
    typed = [[f"{rate:.6g}", f"{stress:.6g}"] for rate, stress in zip(RATES, stresses(), strict=True)]
    typed.insert(3, ["", ""])
    heads = ["shear rate [1/s]", "shear stress [Pa]"]
    bench = typed_bench("flow curve", heads, [*typed, ["", ""]], {"uncertainty": "3 %"})
    assert list(bench.tests[0].row_numbers) == [2, 3, 4, 6, 7, 8, 9, 10]
    rk.write_bench(bench, tmp_path / "typed")
    lines_of_file = (tmp_path / "typed" / "flow-curve.csv").read_text(encoding="utf-8").splitlines()
    assert lines_of_file[8 - 1].startswith(f"{RATES[WRONG]:.6g};")
    (check,) = checks.strays(fitted(bench))
    assert "flow curve row 8 (" in check.comment


# --- signs ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("factor", "sign"), [(1.3, 1), (0.7, -1)])
def test_a_reading_that_is_too_high_has_a_positive_residual(factor, sign):
    result = fitted(rk.FlowCurve(shear_rate=RATES, shear_stress=stresses(factor), relative_uncertainty=0.03))
    frame = result.residuals
    assert np.sign(frame.residual[WRONG]) == sign
    np.testing.assert_array_equal(np.sign(frame.residual), np.sign(frame.reading - frame.predicted))
    np.testing.assert_allclose(frame.residual, np.log(frame.reading / frame.predicted) / 0.03, rtol=1e-9)
    told = charts.misfits.words(result, charts.RATE)
    assert "residuals (read minus predicted)" in told
    assert re.search(rf"The farthest, {'-' if sign < 0 else ''}\d", told)
    drawn = charts.residuals(result).to_dict()
    assert drawn["layer"][-1]["encoding"]["y"]["title"] == "read - predicted [standard deviations]"
    assert "read minus predicted" in charts.residuals.__doc__
    assert "read minus predicted" in type(result).residuals.__doc__


@pytest.mark.parametrize(("side", "factor", "sign"), [(-1, 0.5, -1), (1, 2.0, 1)])
def test_a_bound_that_the_law_breaks_has_the_sign_of_bound_minus_predicted(side, factor, sign):
    """At most half of what the law gives: what was said lies below the prediction; at least twice of it: above."""
    curve = rk.FlowCurve(shear_rate=RATES, shear_stress=TRUTH.shear_stress(RATES), relative_uncertainty=0.03)
    bound = replace(curve.where(np.arange(8) == 4), censored=[side], label="bound")
    bound = replace(bound, shear_stress=bound.shear_stress * factor)
    frame = fitted(curve, bound).residuals
    assert np.sign(frame.residual.iloc[-1]) == sign
    assert abs(frame.residual.iloc[-1]) > 1


def test_readings_that_climb_along_an_order_are_said_to_climb():
    order = np.arange(8.0)
    climbing = TRUTH.shear_stress(RATES[::-1]) * np.exp(0.04 * (order - order.mean()))
    run = rk.FlowCurve(shear_rate=np.random.Generator(np.random.PCG64(3)).permutation(RATES), shear_stress=climbing,
                       run_order=order + 1, relative_uncertainty=0.02)  # fmt: skip
    run = replace(run, shear_stress=TRUTH.shear_stress(run.shear_rate) * np.exp(0.04 * (order - order.mean())))
    (row,) = [
        check
        for check in checks.trends(fitted(run))
        if check.question == "readings do not drift in the order of reading"
    ]
    said = float(re.search(r"standard deviations: (-?[\d.]+) \(slope\)", row.comment)[1])
    assert said > 3
    assert lines(fitted(run), [-(order - order.mean()) / 0.02])[0][0] > 0
