"""Readings as a kitchen has them: bottle, scale, strainer, needles by gauge; and the bench that they make.

Kind: exact (definitions worked out beside each), unless said otherwise.
"""

import pytest

import rheokit as rk
from rheokit import ReadingError
from rheokit.reading.files import Memory
from rheokit.reading.folder import read_files
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
    from rheokit.reading.writer import bench_files

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
    assert only.endswith("a cone inlet_diameter, outlet_diameter and length, or one of the two and its taper")
