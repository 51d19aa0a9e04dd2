"""One contract for every flow law, found in the folder of laws: a new one is held to it the day it is written."""

import warnings
from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest

import rheokit as rk
from rheokit.laws import LAWS
from rheokit.laws.base import FlowLaw, parameter
from rheokit.nomenclature import QUANTITIES

USUAL = {"Pa": (1.0, 5e3), "Pa·s": (0.1, 1e3), "Pa·sⁿ": (1.0, 1e3), "1/s": (0.1, 100.0)}


@dataclass(frozen=True, eq=False)
class OwnLaw(FlowLaw):
    """A user's law with its one formula and nothing else: a power law between two plateaus of slope."""

    name = "a user's own"
    source = "made up for this test"

    yield_stress: float = parameter("τ_y", "Pa", "yield stress")
    thin: float = parameter("a", "Pa·s", "viscosity at high rates", logarithmic=True)
    thick: float = parameter("b", "Pa·sⁿ", "stress of the root term at 1 1/s", logarithmic=True)

    def shear_stress(self, shear_rate):
        return self.yield_stress + self.thin * np.asarray(shear_rate, float) + self.thick * np.sqrt(shear_rate)


CLASSES = [*LAWS.values(), OwnLaw]


def values(law_class, generator):
    """Return usual parameter values of a law, drawn from its own declaration."""
    out = {}
    for name, about in law_class.parameters().items():
        low, high = USUAL.get(about.unit, (0.3, 1.2))
        out[name] = float(np.exp(generator.uniform(np.log(max(low, about.low)), np.log(min(high, about.high)))))
    return out


def examples(law_class, count=6):
    generator = np.random.Generator(np.random.PCG64(17))
    laws = [law_class(**values(law_class, generator)) for _ in range(count)]
    if "yield_stress" in law_class.parameters():
        laws.append(law_class(**(laws[0].values | {"yield_stress": 0.0})))
    return laws


every_law = pytest.mark.parametrize(
    "law", [law for c in CLASSES for law in examples(c)], ids=lambda law: f"{law.name}"
)
every_class = pytest.mark.parametrize("law_class", CLASSES, ids=lambda c: c.name)
RATES = np.geomspace(1e-6, 1e5, 23)


@every_class
def test_declares_name_source_units(law_class):
    assert law_class.name
    assert law_class.source
    assert law_class.__doc__
    for name, about in law_class.parameters().items():
        assert about.symbol, name
        assert about.meaning, name
        if name in QUANTITIES:
            assert (about.symbol, about.unit) == (QUANTITIES[name].symbol, QUANTITIES[name].unit)


@every_law
def test_shapes(law):
    for method in (law.shear_stress, law.wall_shear_stress, law.local_index):
        assert np.ndim(method(3.0)) == 0
        assert method(np.full((2, 3), 3.0)).shape == (2, 3)
        assert method(np.full((2, 3), 3.0))[1, 2] == method(3.0)


@every_law
def test_a_column_of_a_table_is_as_good_as_an_array(law):
    column = pd.Series([2.0, 30.0], index=[7, 9])
    for name in ("shear_stress", "shear_rate", "local_index", "apparent_shear_rate", "wall_shear_stress"):
        assert np.array_equal(getattr(law, name)(column), getattr(law, name)(column.to_numpy())), name


@every_law
def test_stress_never_falls_and_stays_finite(law):
    stress = law.shear_stress(RATES)
    assert np.all(np.isfinite(stress))
    assert np.all(np.diff(stress) >= 0)
    assert law.shear_stress(0.0) == pytest.approx(law.yield_stress, abs=1e-9)
    wall = law.wall_shear_stress(RATES)
    assert np.all(np.isfinite(wall))
    assert np.all(np.diff(wall) >= 0)
    assert np.all(wall >= law.yield_stress)


@every_law
def test_rate_undoes_stress(law):
    rates = np.geomspace(1e-2, 1e5, 15)
    assert law.shear_rate(law.shear_stress(rates)) == pytest.approx(rates, rel=1e-7)
    assert law.apparent_shear_rate(law.wall_shear_stress(rates)) == pytest.approx(rates, rel=1e-6)
    if law.yield_stress:
        below = law.yield_stress * np.array([0.0, 0.5, 1.0])
        assert np.all(law.shear_rate(below) == 0)
        assert np.all(law.apparent_shear_rate(below) == 0)


@every_law
@pytest.mark.parametrize("shift", [None, (1.3, 0.4)])
def test_closed_forms_agree_with_quadrature(law, shift):
    """Kind: independent. Closed form against the base class, which integrates and searches."""
    law = law if shift is None else rk.Shifted(law, *shift)
    rates = np.geomspace(1e-3, 1e4, 9)
    stress = law.shear_stress(rates)
    cases = [
        ("apparent_shear_rate", (stress * 1.01,), 1e-10),
        ("wall_shear_stress", (rates,), 1e-10),
        ("cone_stress_integral", (np.geomspace(1e-12, 1e-6, 5), 5e-3, 0.6e-3), 1e-10),
        ("cone_stress_integral", (1e-8, 1.0005e-3, 1e-3), 1e-10),
    ]
    viscous = rates[(stress - law.yield_stress) > 1e-3 * law.yield_stress]  # the base class subtracts the yield stress
    cases += [("stretching_stress", (3e-8 * viscous[-1:], 5e-3, 0.6e-3), 1e-9), ("local_index", (viscous,), 1e-6)]
    for name, arguments, tolerance in cases:
        closed, integrated = getattr(law, name)(*arguments), getattr(FlowLaw, name)(law, *arguments)
        assert closed == pytest.approx(integrated, rel=tolerance), name


@every_class
def test_draws_equal_one_by_one(law_class):
    laws = examples(law_class)
    stacked = law_class(**{n: np.array([getattr(x, n) for x in laws])[:, None, None] for n in law_class.parameters()})
    rates = np.geomspace(0.1, 1e3, 4)
    for name, arguments in (("shear_stress", (rates,)), ("wall_shear_stress", (rates,)), ("cone_stress_integral", (rates * 1e-10, 4e-3, 1e-3))):
        together = getattr(stacked, name)(*arguments)
        assert together.shape == (len(laws), 1, 4)
        for row, law in zip(together, laws, strict=True):
            assert row[0] == pytest.approx(getattr(law, name)(*arguments), rel=1e-12)


@every_class
def test_noise_free_readings_fit_back(law_class):
    for law in examples(law_class, count=3)[:3]:
        rates = np.geomspace(0.01, 1e3, 14)
        curve = rk.FlowCurve(shear_rate=rates, shear_stress=law.shear_stress(rates), relative_uncertainty=0.01)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = rk.fit(law_class, curve).law
        assert found.shear_stress(rates) == pytest.approx(law.shear_stress(rates), rel=1e-6)


@every_law
def test_coordinates_go_there_and_back(law):
    for there, back in (("to_coordinates", "from_coordinates"), ("to_draw_coordinates", "from_draw_coordinates")):
        extra = () if there == "to_coordinates" else ((2.0, 150.0),)
        again = getattr(law, back)(getattr(law, there)(law.values, 7.0, *extra), 7.0, *extra)
        for name, value in law.values.items():
            assert again[name] == pytest.approx(value, rel=1e-9, abs=1e-9)


@every_law
def test_no_warning_at_the_ends(law):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        law.wall_shear_stress(np.array([0.0, 1e-6, 1e5]))
        law.cone_stress_integral(np.array([0.0, 1e-15, 1e-3]), 5e-3, 1e-3)
        law.apparent_shear_rate(np.array([0.0, 1e-3, 1e5]))


def test_values_outside_bounds_are_refused_by_name():
    with pytest.raises(ValueError, match=r"HerschelBulkley: yield_stress = -1 Pa lies outside \[0, inf\] Pa; check"):
        rk.HerschelBulkley(yield_stress=-1, consistency=2, flow_index=0.4)
    with pytest.raises(ValueError, match="flow_index = nan"):
        rk.PowerLaw(consistency=2, flow_index=np.nan)


def test_no_seam_where_the_yield_stress_goes_to_zero():
    """Kind: exact. Crossing the switch to the power law changes nothing that can be seen."""
    rate = 10.0
    power = rk.PowerLaw(consistency=210.0, flow_index=0.38).wall_shear_stress(rate)
    for share in 10.0 ** np.arange(-16.0, -8.0, 0.25):
        law = rk.HerschelBulkley(yield_stress=share * power, consistency=210.0, flow_index=0.38)
        assert law.wall_shear_stress(rate) == pytest.approx(power, rel=3 * share + 1e-14)


def test_no_digits_lost_near_the_plug_limit():
    """Kind: independent. The excess over yield, to all its digits, from the limit of small flow: Γ → n/(n+1) e^((1+1/n)x)."""
    tau_y, k, n = 650.0, 210.0, 0.38
    law = rk.HerschelBulkley(yield_stress=tau_y, consistency=k, flow_index=n)
    rate = 1e-9
    x = (np.log(rate / 4) + np.log(k / tau_y) / n - np.log(n / (n + 1))) / (1 + 1 / n)
    assert law.wall_shear_stress(rate) / tau_y - 1 == pytest.approx(np.exp(x), rel=1e-3)


def test_a_power_law_n_of_half_a_percent_off_is_seen():
    """The contract can fail: a law off by 2 % does not pass for the one it was."""
    law, wrong = rk.HerschelBulkley(650, 210, 0.38), rk.HerschelBulkley(650, 210 * 1.02, 0.38)
    assert wrong.wall_shear_stress(50.0) != pytest.approx(FlowLaw.wall_shear_stress(law, 50.0), rel=1e-3)
