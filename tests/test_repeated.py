"""The same readings given twice are refused, under any name; honest repeats pass.

Kind       exact: copies are copies, and the repeats differ.
"""

import re
from dataclasses import replace

import numpy as np
import pytest

import rheokit as rk
from rheokit.units import mL, mm

RATES = np.geomspace(5, 200, 8)
LAW = rk.HerschelBulkley(650.0, 210.0, 0.38)
TOML = """\
[specimen]
paste = "clay"
{batch}
[[test]]
kind = "flow curve"
file = "curve.csv"
uncertainty = "5 %"

[[test]]
kind = "loaded plate"
file = "plate.csv"
volume = "5 mL"
force = "9.81 N"
uncertainty = "2 %"
"""


def curve(seed=0, **given):
    noise = np.random.Generator(np.random.PCG64(seed)).standard_normal(8)
    return rk.FlowCurve(
        shear_rate=RATES,
        shear_stress=LAW.shear_stress(RATES) * np.exp(0.05 * noise),
        relative_uncertainty=0.05,
        **given,
    )


def plate(*radii):
    return rk.LoadedPlate(volume=5 * mL, force=9.81, radius=np.array(radii) * mm, relative_uncertainty=0.02)


def folder(path, batch=""):
    path.mkdir()
    rows = [f"{rate:.6g}, {stress:.6g}" for rate, stress in zip(RATES, curve().shear_stress, strict=True)]
    (path / "curve.csv").write_text("\n".join(["shear rate [1/s], shear stress [Pa]", *rows]) + "\n", encoding="utf-8")
    (path / "plate.csv").write_text("radius [mm]\n20.5\n", encoding="utf-8")
    (path / "bench.toml").write_text(TOML.format(batch=batch), encoding="utf-8")
    return path


def refused(*given):
    with pytest.raises(rk.DataError) as refusal:
        rk.fit(rk.HerschelBulkley, *given)
    return str(refusal.value)


def test_the_same_record_twice_is_refused_and_named():
    once = curve(label="Monday")
    assert refused(once, once) == (
        "fit: flow curve 'Monday' and flow curve 'Monday' are the same record; readings count once, and two honest repeats "
        "are never equal in every digit: leave one out, or name the file that was meant."
    )
    assert "are the same record" in refused(curve(), plate(20), *[plate(21)] * 2)


@pytest.mark.parametrize(
    "copy",
    [
        {"label": "Tuesday"},
        {"batch": "B"},
        {"apparatus": "another"},
        {"run_order": np.arange(8.0)},
        {"relative_uncertainty": 0.1},
        {"shear_rate": RATES[::-1], "shear_stress": curve().shear_stress[::-1]},
    ],
)
def test_a_copy_under_another_name_is_refused(copy):
    said = refused(curve(label="Monday"), replace(curve(label="Monday"), **copy))
    assert "hold the same readings to the last digit (rows 1, 2, 3, 4, 5 and 3 more of the second)" in said


def test_a_part_of_a_record_beside_the_whole_is_refused():
    assert "(rows 1, 2, 3 of the second)" in refused(curve(), curve().where(np.arange(8) < 3))


def test_rows_pasted_twice_into_one_record_are_refused():
    once = curve()
    twice = replace(once, shear_rate=np.tile(RATES, 2), shear_stress=np.tile(once.shear_stress, 2), censored=None)
    assert refused(twice) == (
        "fit: flow curve holds its readings twice, rows 1, 2, 3, 4, 5 and 3 more again as rows 9, 10, 11, 12, 13 and 3 more, "
        "to the last digit; take the copy out, because readings count once."
    )


def test_honest_repeats_pass():
    """Other readings at the same settings; few readings of a ruler that are equal; parts of one record."""
    rk.fit(rk.HerschelBulkley, curve(0), curve(1), plate(20), plate(20), plate(20, 21), plate(20, 21))
    whole = curve()
    rk.fit(rk.HerschelBulkley, whole.where(RATES < 50), whole.where(RATES > 50))
    same = np.tile([35.0, 36.0], 3) * mm
    mould = {"height": 100 * mm, "diameter": 100 * mm, "density": 1200.0, "uncertainty": 1 * mm}
    rk.Bench(rk.Specimen(), [rk.CylinderSlump(slump=same, **mould), rk.CylinderSlump(slump=same[:4], **mould)])


def test_a_bench_given_twice_is_refused(tmp_path):
    bench = rk.read_bench(folder(tmp_path / "one"))
    again = rk.read_bench(tmp_path / "one")
    assert "flow curve and flow curve are the same record" in refused(bench, again)
    assert "loaded plate and loaded plate are the same record" in refused(
        bench, again.where(lambda t: "plate" in t.kind)
    )
    copy = rk.read_bench(folder(tmp_path / "copy"))
    assert "are the same record" in refused(bench, copy)
    renamed = rk.read_bench(folder(tmp_path / "renamed", 'batch = "B"'))
    assert "flow curve and flow curve hold the same readings" in refused(bench, renamed)


def test_a_property_measured_once_and_told_twice_is_refused():
    cup = rk.KINDS["cup density"](cup_volume=100 * mL, mass=[0.1112])
    with pytest.raises(rk.DataError, match="Bench: cup density and cup density are the same record"):
        rk.Bench(rk.Specimen(), [cup, cup])


def test_a_file_copied_under_another_name_is_refused_where_it_is_read(tmp_path):
    made = folder(tmp_path / "one")
    (made / "again.csv").write_bytes((made / "curve.csv").read_bytes())
    more = '\n[[test]]\nkind = "flow curve"\nlabel = "second"\nfile = "again.csv"\nuncertainty = "5 %"\n'
    (made / "bench.toml").write_text(TOML.format(batch="") + more, encoding="utf-8")
    with pytest.raises(rk.ReadingError) as refusal:
        rk.read_bench(made)
    (fault,) = refusal.value.faults
    assert re.match(
        r"bench.toml: flow curve and flow curve 'second' hold the same readings .*\(rows 2, 3, 4, 5, 6 and", fault
    )
