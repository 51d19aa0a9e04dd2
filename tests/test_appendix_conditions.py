"""What an appendix says of a law that depends on the temperature: the whole law, rates as they were read, and at which temperature a number holds."""

import importlib
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import rheokit as rk
from rheokit.appendix.document import Caution, Equation, Figure, Paragraph, Points, Section, Table
from rheokit.appendix.study import Study

DATA = Path(__file__).parent.parent / "data"
GAS = 8.314462618  # J/(mol·K), exact by definition of the SI
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::rheokit.errors.RheokitWarning")]


@cache
def study(name="gelatin-dope-40"):
    return Study(rk.Workbook.open(DATA / name))


@cache
def blocks(section, name="gelatin-dope-40"):
    """Return the blocks of a section of an appendix, those of its parts too."""

    def all_of(one):
        for block in (*one.blocks, *one.sections):
            yield from all_of(block) if isinstance(block, Section) else [block]

    return tuple(all_of(importlib.import_module(f"rheokit.appendix.sections.{section}").section(study(name))))


def table(section, name, folder="gelatin-dope-40"):
    return next(one for one in blocks(section, folder) if isinstance(one, Table) and one.name == name)


def said(section, name="gelatin-dope-40"):
    """Return every text of a section in one."""
    texts = []
    for block in blocks(section, name):
        match block:
            case Paragraph(text) | Caution(text):
                texts.append(text)
            case Points(found):
                texts += found
            case Equation(text, spoken, source):
                texts += [text, spoken, source]
            case Table():
                texts += [
                    block.caption,
                    block.note,
                    *(str(cell) for row in (block.columns, *block.rows) for cell in row),
                ]
            case Figure():
                texts += [block.caption, block.words]
    return "\n".join(texts)


def test_the_whole_law_is_printed_wherever_the_law_is():
    fit = study().fit
    law, rule = fit.problem.law_class.equation(), "a_T = exp[(E_a/R) (1/T - 1/T_r)]"
    assert "a_T γ̇" in law
    assert [one.text for one in blocks("model") if isinstance(one, Equation)][:2] == [law, rule]
    assert f"T_r = {fit.reference}" in said("model")
    assert law in said("summary") and rule in said("summary")
    rows = {row[1]: row[2] for row in table("sources", "sources").rows}
    assert rows[fit.problem.law_class.name] == law and rows["temperature"] == rule
    symbols = {(row[0], row[2]) for row in table("symbols", "symbols").rows}
    assert ("T", "temperature of the paste", "K") in {row[:3] for row in table("symbols", "symbols").rows}
    assert {("a_T", "-"), ("T_r", "K"), ("R", "J/(mol·K)")} <= symbols


def test_which_activation_energy_is_meant_is_said_with_that_of_the_stress(tmp_path):
    """Kind: independent. ln K of single power laws against 1/T, straight line by hand, against n E_a of the sentence."""
    rates, celsius, energy, index = np.geomspace(1, 100, 9), np.array([40.0, 50.0, 60.0]), 50e3, 0.8
    kelvins = celsius + 273.15
    factor = np.exp(energy / GAS * (1 / kelvins - 1 / 323.15))
    curves = [
        rk.FlowCurve(
            shear_rate=rates,
            shear_stress=3 * (a * rates) ** index,
            temperature=t,
            label=f"{t:g}",
            relative_uncertainty=0.02,
        )
        for a, t in zip(factor, kelvins, strict=True)
    ]
    fit = rk.fit(rk.over_conditions(rk.PowerLaw, *curves), *curves)
    consistencies = [rk.fit(rk.PowerLaw, one).law.consistency for one in curves]
    slope = np.polyfit(1 / kelvins, np.log(consistencies), 1)[0] * GAS
    from rheokit.fitting.over_conditions import activation_of_stress

    found = activation_of_stress(fit)
    assert found.value == pytest.approx(slope, rel=1e-3) == pytest.approx(40e3, rel=1e-3)
    assert found.low < 40e3 < found.high < fit.law.activation_energy
    assert activation_of_stress(rk.fit(rk.PowerLaw, curves[0])) is None


def test_every_prediction_of_force_and_pressure_says_at_which_temperature_it_holds():
    """The dope leaves the nozzle at a temperature of its own, that of the law of its pressure, which is not the reference."""
    of = study()
    kelvin = float(of.case.pressure_law.condition["temperature"])
    at = f"{kelvin - 273.15:.3g} °C"
    assert kelvin == pytest.approx(min(float(of.case.exit_temperature), of.job.barrel_temperature))
    assert at != of.fit.reference
    assert f"Force and pressure hold at {at}" in said("forces")
    captions = [one.caption for one in blocks("forces") if isinstance(one, Table | Figure)]
    assert len(captions) >= 4 and all(f"at {at}" in one for one in captions)
    rows = dict(table("summary", "summary").rows)
    assert f"at {at}" in rows["force on the plunger to run"] and f"at {at}" in rows["pressure at the plunger face"]


def test_where_the_law_does_not_depend_on_it_a_prediction_is_of_the_condition_that_was_read():
    assert "Force and pressure hold at 21 °C, u = 1.045, age 12 h." in said("forces", "olive-stone-paste")
    assert "at 21 °C" in dict(table("summary", "summary", "olive-stone-paste").rows)["force on the plunger to run"]


def test_rates_and_stresses_of_the_range_are_those_read_and_those_at_the_reference_are_called_so():
    fit = study().fit
    at = f" at {fit.reference}"
    rows = {row[0]: row[1] for row in table("validity", "validity").rows}
    assert fit.rates_move
    low, high = fit.reference_rate_range
    assert rows[f"shear rate, where the law takes it{at}"].startswith(f"{low:.3g} to {high:.3g}")
    low, high = fit.rate_range
    assert rows["shear rate, as it was read"].startswith(f"{low:.3g} to {high:.3g}")
    assert "as it was read" in rows["shear stress"]
    (residuals,) = (one for one in blocks("residuals") if isinstance(one, Table) and one.name == "residuals")
    place = residuals.columns.index(f"rate{at} [1/s]")
    frame = fit.residuals
    assert [row[place].value for row in residuals.rows] == pytest.approx(frame.reference_rate.tolist())
    assert [row[place - 1].value for row in residuals.rows] == pytest.approx(frame.shear_rate.tolist())


def test_what_is_not_measured_of_a_fibre_is_said_of_a_fibre():
    rows = {row[1]: row for row in table("unmeasured", "not-measured").rows}
    assert rows["ρ"][-1] == "whether the thread stays taut, and how it cools in the air, is not computed"
    assert "whether it stands" not in said("unmeasured")


def test_without_a_law_no_test_is_called_fitted(tmp_path):
    (tmp_path / "clay").mkdir()
    bench = '[specimen]\npaste = "clay"\ndensity = "1720 kg/m3"\n'
    for place, (label, at) in enumerate(
        (("cold", 'temperature = "20 °C"\n'), ("warm", 'temperature = "40 °C"\n'), ("unknown", ""))
    ):
        bench += f'\n[[test]]\nkind = "flow curve"\nfile = "{label}.csv"\nlabel = "{label}"\n{at}'
        stresses = (30.5, 50.5, 90.5, 160.5)
        lines = (
            f"{rate},{stress + 1.7 * place:.2f}" for rate, stress in zip((1.5, 3.5, 10.5, 30.5), stresses, strict=True)
        )
        rows = "\n".join(["shear rate [1/s],shear stress [Pa]", *lines])
        (tmp_path / "clay" / f"{label}.csv").write_text(rows, encoding="utf-8")
    (tmp_path / "clay" / "bench.toml").write_text(bench, encoding="utf-8")
    of = Study(rk.Workbook.open(tmp_path / "clay"))
    assert not of.knows("fit")
    protocol = importlib.import_module("rheokit.appendix.sections.protocol").section(of)
    (one,) = (block for block in protocol.blocks if isinstance(block, Table) and block.name == "protocol")
    assert one.rows[0][-1] == "to be fitted; no law is"
    material = importlib.import_module("rheokit.appendix.sections.material").section(of)
    (one,) = (block for block in material.blocks if isinstance(block, Table) and block.name == "properties")
    assert "tests of the bench take the value that was stated without ± as exact" in one.note


def test_a_budget_has_its_measurement_function_and_it_gives_the_pressure_of_the_land():
    """Kind: independent. The printed integral by adaptive quadrature and a root of its own, against the part of the pressure that the appendix prints."""
    from scipy.integrate import quad
    from scipy.optimize import brentq

    from rheokit.flow.nozzles import SHEAR_FORMULA

    (equation, *_) = (one for one in blocks("uncertainty_budget") if isinstance(one, Equation))
    assert equation.text == f"F = p A_0 + F_f, p = Σ Δp, {SHEAR_FORMULA}"
    assert study().fit.problem.law_class.equation() in equation.spoken and "a_T = exp" in equation.spoken
    of = study().case
    law, flow, land = of.pressure_law, float(of.flow_rate), of.real_extruder.nozzle.segments[-1]
    bore, length = float(land.outlet_diameter), float(land.length)

    def off(stress):
        return 4 / stress**3 * quad(lambda tau: tau**2 * float(law.shear_rate(tau)), 0, stress)[0] - 32 * flow / (
            np.pi * bore**3
        )

    by_hand = 4 * length * brentq(off, 1e-3, 1e6) / bore
    printed = [row[1].value for row in table("forces", "pressure-by-parts").rows if str(row[0]).startswith("land")]
    unit = {"pressure [Pa]": 1.0, "pressure [kPa]": 1e3}[table("forces", "pressure-by-parts").columns[1]]
    assert printed[0] * unit == pytest.approx(by_hand, rel=1e-6)
