"""How large the entry and the true rate are, against arithmetic by hand and an independent quadrature."""

import re

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

import rheokit as rk
from rheokit.appendix.sections import corrections
from rheokit.corrections.sizes import entry_losses, rate_ratios, spans
from rheokit.flow.converging import FORMULA
from rheokit.nomenclature import between

PASTE = rk.HerschelBulkley(yield_stress=340.0, consistency=95.0, flow_index=0.47)
BORE, INLET, FLOWS = 1.7e-3, 11.3e-3, np.array([2.1e-9, 640e-9])


def run(**changes):
    nozzle = rk.Nozzle(rk.Cylinder(diameter=INLET, length=0.01), rk.Cylinder(diameter=BORE, length=0.021))
    read = {"flow_rate": FLOWS, "pressure": [5e4, 2e5], "read": "pressure"}
    return rk.PressureRun(nozzle=nozzle, **(read | changes))


def test_the_printed_formula_gives_the_entry_by_hand():
    """The coefficients are read off the printed text; the arithmetic is plain."""
    viscous, power, plastic, by_angle = map(
        float,
        re.match(
            r"Δp = ([\d.]+) \(α/\(π/2\)\)\^\(n\^([\d.]+)\) V .* \+ ([\d.]+) \(1 \+ ([\d.]+) α\)", FORMULA
        ).groups(),
    )
    ratio, radius, n = INLET / BORE, BORE / 2, 0.47
    speed = FLOWS / (np.pi * radius**2)
    stretching = 2 / (3 * n) * 3 ** ((n + 1) / 2) * 95.0 * (2 * speed / radius) ** n * (1 - ratio ** (-3 * n))
    alpha = np.pi / 2
    first = viscous * (alpha / (np.pi / 2)) ** (n**power) * stretching * (1 - np.sin(alpha) / ratio**3)
    by_hand = first + plastic * (1 + by_angle * alpha) * 2 * np.sqrt(3) * 340.0 * np.log(ratio)
    pressure, share = entry_losses(run(), PASTE)
    assert pressure == pytest.approx(by_hand, rel=1e-9)
    whole = run().nozzle.pressure_drop(PASTE, FLOWS)
    assert share == pytest.approx(by_hand / whole, rel=1e-9)


def test_a_fitted_end_has_no_size_by_the_formula():
    assert entry_losses(run(end_correction="fitted"), PASTE) is None


def test_true_over_apparent_rate_by_quadrature():
    """Q = π R³/τ_w³ ∫ τ² γ̇ dτ, searched for the wall stress; not the library's closed form."""

    def rate(stress):
        return ((stress - 340.0) / 95.0) ** (1 / 0.47)

    def flow(wall):
        return np.pi * (BORE / 2) ** 3 / wall**3 * quad(lambda s: s**2 * rate(s), 340.0, wall, epsrel=1e-11)[0]

    by_hand = []
    for one in FLOWS:
        wall = brentq(lambda stress, one=one: flow(stress) - one, 340.01, 1e5, xtol=1e-9)
        by_hand.append(rate(wall) * np.pi * BORE**3 / (32 * one))
    assert rate_ratios(run(), PASTE) == pytest.approx(by_hand, rel=1e-6)


def test_the_entry_of_a_test_is_that_of_its_own_batch():
    """Every stress of a batch is its factor times that of the median batch, and so is what converging flow costs."""
    rate = np.array([5e-9, 2e-8, 8e-8, 3e-7])
    plain = run(flow_rate=rate, pressure=1e4 * rate / rate[0])
    pressure = np.asarray(plain.expected(PASTE, {}))
    tests = [
        run(flow_rate=rate, pressure=pressure * factor, batch=batch, label=f"{batch}{k}", relative_uncertainty=0.02)
        for batch, factor in (("A", 0.8), ("B", 1.25))
        for k, factor in enumerate((factor, 1.01 * factor))
    ]
    fit = rk.fit(type(PASTE), *tests)
    first, second = (spans([entry_losses(one, corrections._law_of(fit, one))[0]]) for one in (tests[0], tests[2]))
    ratio = fit.nuisance["batch_factor[B]"] / fit.nuisance["batch_factor[A]"]
    assert ratio == pytest.approx(1.25 / 0.8, rel=0.05)
    assert np.divide(second, first) == pytest.approx(ratio, rel=1e-9)
    told = corrections._entry(fit, tests)
    assert between(*first, "Pa") in told and between(*second, "Pa") in told and first != second


def test_the_note_says_that_a_barrel_moves_stress_and_rate(tmp_path):
    """0.03 of 19.6 mm is 0.15 %: twice that in force over area, twice in the flow of a plunger's speed, counted together."""
    (tmp_path / "force.csv").write_text("plunger_speed [mm/s],force [N]\n0.05,60\n0.5,95\n2,140\n", "utf-8")
    (tmp_path / "bench.toml").write_text(
        '[specimen]\npaste = "walnut"\ndensity = "1164 kg/m3"\n\n[[test]]\nkind = "syringe force"\nfile = "force.csv"\n'
        'read = "force"\nbarrel_diameter = "19.6 mm ± 0.03 mm"\nbore = "1.6 mm"\nlength = "20 mm"\n'
        'fill_length = "60 mm"\nplunger_friction = "8 N"\nbarrel_drag = 1\n',
        "utf-8",
    )
    notes = " ".join(rk.read_bench(tmp_path).origin.notes)
    assert (
        "with 0.61 % for the uncertainty of barrel_diameter (it moves the stress by 0.31 % and the rate by 0.31 %"
        in notes
    )
