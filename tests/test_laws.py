"""One contract for every flow law, found in the folder of laws: a new one is held to it the day it is written."""

import warnings
from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest
from worked import METHODS, example_faults, examples_of, law_results

import rheokit as rk
from rheokit.laws import LAWS
from rheokit.laws.base import FlowLaw, parameter
from rheokit.nomenclature import QUANTITIES
from rheokit.units import mL, mm

pytestmark = pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")  # unit walls and other mathematics

USUAL = {"Pa": (1.0, 5e3), "Pa·s": (0.1, 1e3), "Pa·sⁿ": (1.0, 1e3), "1/s": (0.1, 100.0), "J/mol": (5e3, 8e4)}


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


PLAIN = [*LAWS.values(), OwnLaw]
EVERY_CONDITION = rk.aged(rk.watered(rk.heated(rk.HerschelBulkley), 0.9), 3600.0)
AT = [
    {"temperature": temperature, "water_content": u, "age": age}
    for temperature, u, age in (
        (300.0, 0.9, 3600.0),
        (318.15, 0.9, 3600.0),
        (330.0, 1.0, 3600.0),
        (320.0, 1.1, 86400.0),
    )
]
CLASSES = [*PLAIN, *map(rk.heated, PLAIN), EVERY_CONDITION]


def values(law_class, generator):
    """Return usual parameter values of a law, drawn from its own declaration."""
    out = {}
    for name, about in law_class.parameters().items():
        low, high = USUAL.get(about.unit, (0.3, 1.2))
        out[name] = float(np.exp(generator.uniform(np.log(max(low, about.low)), np.log(min(high, 0.9 * about.high)))))
    return out


def examples(law_class, count=6):
    generator = np.random.Generator(np.random.PCG64(17))
    laws = [law_class(**values(law_class, generator)) for _ in range(count)]
    if "yield_stress" in law_class.parameters():
        laws.append(law_class(**(laws[0].values | {"yield_stress": 0.0})))
    return laws


every_law = pytest.mark.parametrize("law", [law for c in CLASSES for law in examples(c)], ids=lambda law: f"{law.name}")
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


@pytest.mark.parametrize("law_class", LAWS.values(), ids=lambda c: c.name)
def test_worked_examples(law_class):
    """Kind: independent. Numbers from outside the code, to 1e-6: a stress at a rate, and every closed form that it has."""
    found = examples_of(law_class, "shear_stress, and each closed form that it overrides")
    for example in found:
        assert example_faults(example, law_results(law_class)) == []
    expected = {name for example in found for name in example.expected}
    own = {name for name in METHODS if getattr(law_class, name) is not getattr(FlowLaw, name)}
    assert own <= expected, (
        f"expect a number of {', '.join(sorted(own - expected))} as well: its closed form is the law's own"
    )


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
        ("flow_at_wall_rate", (rates,), 1e-10),
        ("apparent_shear_rate", (stress * 1.01,), 1e-10),
        ("wall_shear_stress", (rates,), 1e-10),
        ("cone_stress_integral", (np.geomspace(1e-12, 1e-6, 5), 5e-3, 0.6e-3), 1e-10),
        ("cone_stress_integral", (1e-8, 1.0005e-3, 1e-3), 1e-10),
    ]
    viscous = rates[(stress - law.yield_stress) > 1e-3 * law.yield_stress]  # the base class subtracts the yield stress
    cases += [("stretching_stress", (3e-8 * viscous[-1:], 5e-3, 0.6e-3), 1e-9), ("local_index", (viscous,), 1e-6)]
    for name, arguments, tolerance in cases:
        closed, integrated = getattr(law, name)(*arguments), getattr(FlowLaw, name)(law, *arguments)
        for one, other in zip(np.atleast_2d(closed), np.atleast_2d(integrated), strict=True):
            assert one == pytest.approx(other, rel=tolerance), name


@every_class
def test_draws_equal_one_by_one(law_class):
    laws = examples(law_class)
    stacked = law_class(**{n: np.array([getattr(x, n) for x in laws])[:, None, None] for n in law_class.parameters()})
    rates = np.geomspace(0.1, 1e3, 4)
    for name, arguments in (
        ("shear_stress", (rates,)),
        ("wall_shear_stress", (rates,)),
        ("cone_stress_integral", (rates * 1e-10, 4e-3, 1e-3)),
    ):
        together = getattr(stacked, name)(*arguments)
        assert together.shape == (len(laws), 1, 4)
        for row, law in zip(together, laws, strict=True):
            assert row[0] == pytest.approx(getattr(law, name)(*arguments), rel=1e-12)


@pytest.mark.slow
@every_class
def test_noise_free_readings_fit_back(law_class):
    for law in examples(law_class, count=3)[:3]:
        rates, curves = np.geomspace(0.01, 1e3, 14), []
        for there in AT if law.depends_on else ({},):
            stress = law.at(**there).shear_stress(rates)
            own = {name: value for name, value in there.items() if name in law.depends_on}
            curves.append(rk.FlowCurve(shear_rate=rates, shear_stress=stress, relative_uncertainty=0.01, **own))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = rk.fit(law_class, *curves).law
            again = found.shear_stress(rates)
        assert again == pytest.approx(law.shear_stress(rates), rel=1e-6)
        for name, value in law.effects.items() if np.ptp(again) > 0.01 * again.max() else ():  # else no rate shows
            assert getattr(found, name) == pytest.approx(value, rel=1e-5), name


@every_law
def test_coordinates_go_there_and_back(law):
    for there, back in (("to_coordinates", "from_coordinates"), ("to_draw_coordinates", "from_draw_coordinates")):
        extra = () if there == "to_coordinates" else ((2.0, 150.0),)
        again = getattr(law, back)(getattr(law, there)(law.values, 7.0, *extra), 7.0, *extra)
        for name, value in law.values.items():
            assert again[name] == pytest.approx(value, rel=1e-9, abs=1e-9)


HOLDS = {  # what each law has as special cases
    "Newtonian": set(),
    "power law": {"Newtonian"},
    "Bingham": {"Newtonian"},
    "Casson": {"Newtonian"},
    "Herschel-Bulkley": {"Newtonian", "power law", "Bingham"},
    "Robertson-Stiff": {"Newtonian", "power law", "Bingham"},
    "Sisko": {"Newtonian", "power law"},
    "three-component": {"Newtonian", "Casson"},
    "Herschel-Bulkley with Newtonian term": {
        "Newtonian", "power law", "Bingham", "Casson", "Sisko", "Herschel-Bulkley", "three-component",
    },
    "Cross": {"Newtonian"},
    "Carreau-Yasuda": {"Newtonian", "Cross"},
}  # fmt: skip


@pytest.mark.parametrize("name", HOLDS)
def test_holds_its_special_cases_and_no_other_law(name):
    """Kind: exact. Which laws a law contains, from their formulae by hand."""
    larger = LAWS[name]
    held = {law_class.name for law_class in LAWS.values() if larger.holding(examples(law_class)[0]) is not None}
    assert held == HOLDS[name] | {name}


@every_law
def test_a_law_that_holds_another_is_it(law):
    """Kind: independent. At the values that it says, the larger law has the stresses of the smaller one, and by other formulae
    its flow in tube and cone."""
    ends = np.geomspace(1e-11, 1e-6, 5), 5e-3, 0.6e-3
    for larger in CLASSES:
        values = larger.holding(law)
        if values is not None:
            assert list(values) == list(larger.parameters())
            same = larger(**values)
            assert same.shear_stress(RATES) == pytest.approx(law.shear_stress(RATES), rel=1e-12)
            assert same.wall_shear_stress(RATES) == pytest.approx(law.wall_shear_stress(RATES), rel=1e-10)
            assert same.cone_stress_integral(*ends) == pytest.approx(law.cone_stress_integral(*ends), rel=1e-10)
            assert same.stretching_stress(*ends) == pytest.approx(law.stretching_stress(*ends), rel=1e-9)


@every_law
def test_no_warning_at_the_ends(law):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        warnings.simplefilter("ignore", rk.UnlikelyWarning)
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


# --- laws that give their shear stress and nothing else -------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class BarePaste(FlowLaw):
    """Herschel and Bulkley's law as a user would type it, to be held to the closed forms."""

    yield_stress: float = parameter("τ_y", "Pa", "yield stress")
    consistency: float = parameter("K", "Pa·sⁿ", "stress above yield at 1 1/s", logarithmic=True)
    flow_index: float = parameter("n", "-", "slope above yield", low=0.02, high=5.0)

    def shear_stress(self, shear_rate):
        return self.yield_stress + self.consistency * np.asarray(shear_rate, float) ** self.flow_index


@dataclass(frozen=True, eq=False)
class BareCasson(FlowLaw):
    """Casson's law as a user would type it."""

    yield_stress: float = parameter("τ_y", "Pa", "yield stress")
    plastic_viscosity: float = parameter("μ_p", "Pa·s", "slope", logarithmic=True)

    def shear_stress(self, shear_rate):
        return (np.sqrt(self.yield_stress) + np.sqrt(self.plastic_viscosity * np.asarray(shear_rate, float))) ** 2


@dataclass(frozen=True, eq=False)
class BareSisko(FlowLaw):
    """A law without a closed form in a tube: a power law that ends on a constant viscosity."""

    final_viscosity: float = parameter("η_∞", "Pa·s", "viscosity at high rates", logarithmic=True)
    consistency: float = parameter("K", "Pa·sⁿ", "stress of the power-law term at 1 1/s", logarithmic=True)
    flow_index: float = parameter("n", "-", "slope of the power-law term", low=0.02, high=1.0)

    def shear_stress(self, shear_rate):
        rate = np.asarray(shear_rate, float)
        return self.final_viscosity * rate + self.consistency * rate**self.flow_index


def extremes(bare, law_class, count=400):
    """Return (bare law, closed forms, apparent rates): yield stress 0 to 50 kPa, rates 1e-6 to 1e5 1/s, as arrays."""
    random = np.random.Generator(np.random.PCG64(23))
    tau_y = np.where(random.random(count) < 0.2, 0.0, 10 ** random.uniform(-3, 4.7, count))
    viscous = 10 ** random.uniform(-2, 4, count)
    rates = 10 ** random.uniform(-6, 5, count)
    rates[:4] = 1e-6, 1e5, 1e-6, 1e5
    index = (random.permutation(np.linspace(0.05, 1.5, count)),) if law_class is rk.HerschelBulkley else ()
    return bare(tau_y, viscous, *index), law_class(tau_y, viscous, *index), rates


both = pytest.mark.parametrize(
    ("bare", "law_class"),
    [(BarePaste, rk.HerschelBulkley), (BareCasson, rk.Casson)],
    ids=["Herschel-Bulkley", "Casson"],
)


@both
def test_shear_stress_alone_is_enough_in_a_tube(bare, law_class):
    """Kind: independent. The integral over the rate against the closed forms: 1e-10 of the wall stress, 1e-13 of the flow
    above the rounding of the wall stress itself (a share d above yield leaves 1e-16/d of it)."""
    law, closed, rates = extremes(bare, law_class)
    stress = closed.wall_shear_stress(rates)
    assert law.wall_shear_stress(rates) == pytest.approx(stress, rel=1e-10)
    share = (stress - closed.yield_stress) / stress
    seen = share > 1e-9
    assert seen.sum() > 300
    miss = law.apparent_shear_rate(stress)[seen] / closed.apparent_shear_rate(stress)[seen] - 1
    assert np.all(np.abs(miss) < 2e-12 + 1e-13 / share[seen])


@both
def test_shear_stress_alone_is_enough_in_a_cone(bare, law_class):
    """Kind: independent. The same in cones from steep to nearly cylindrical, crossing the seam of the closed forms."""
    law, closed, rates = extremes(bare, law_class, 120)
    outlet = 0.6e-3
    flow = np.pi * outlet**3 / 4 * rates
    for ratio in (8.0, 1.3, 1.0102, 1.0099, 1.0012, 1.0009, 1.00001):
        found = law.cone_stress_integral(flow, ratio * outlet, outlet)
        assert found == pytest.approx(closed.cone_stress_integral(flow, ratio * outlet, outlet), rel=1e-10), ratio


def test_sisko_in_a_tube_by_an_integral_of_its_own():
    """Kind: independent. Weissenberg and Rabinowitsch's integral over the stress, with the inverse by bisection."""
    law = BareSisko(final_viscosity=1.5, consistency=300.0, flow_index=0.4)
    nodes, weights = np.polynomial.legendre.leggauss(200)
    for rate in (1e-3, 1.0, 3e3, 1e5):
        tau_w = law.wall_shear_stress(rate)
        tau = tau_w * ((nodes + 1) / 2) ** 2
        low, high = np.full(tau.shape, -60.0), np.full(tau.shape, 20.0)
        for _ in range(60):
            middle = (low + high) / 2
            short = law.shear_stress(np.exp(middle)) < tau
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        found = 4 / tau_w**3 * np.sum(weights / 2 * tau_w * (nodes + 1) * tau**2 * np.exp(low))
        assert found == pytest.approx(rate, rel=1e-10)


@every_law
def test_at_rest_a_contraction_costs_its_start_pressure(law):
    """Kind: exact. The local index of a law at rest is a number, so a nozzle that is asked about no flow answers."""
    assert 0 <= law.local_index(0.0) <= 10
    nozzle = rk.Nozzle(rk.Cone(inlet_diameter=6 * mm, outlet_diameter=1.5 * mm, length=15 * mm))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rk.ModelRangeWarning)
        start, slow = nozzle.pressure_drop(law, 0.0), nozzle.pressure_drop(law, 1e-11)
    least = 2 * law.yield_stress * np.log(4) * 15 / 2.25  # 2 τ_y ln(R_in/R_out) / tan(half angle), in shear alone
    assert least <= start < slow
    assert bool(start) == bool(law.yield_stress)


def test_a_map_of_a_bare_law_is_a_map_of_points():
    """Kind: exact. Work by parts of the nodes, as large arrays take it, changes nothing."""
    law = BareSisko(final_viscosity=1.5, consistency=300.0, flow_index=0.4)
    rates = np.geomspace(1e-2, 1e4, 12000).reshape(100, 120)
    wall = law.wall_shear_stress(rates)
    for place in ((0, 0), (41, 7), (99, 119)):
        assert wall[place] == pytest.approx(law.wall_shear_stress(rates[place]), rel=1e-13)


@pytest.mark.parametrize("excess", [1e-9, 1e-3, 1.0, 1e3, 1e9])
def test_casson_near_the_plug_and_far_from_it(excess):
    """Kind: exact. The limits Γ → t³/3 and t²/8 of the tube relation, t = √(τ_w/τ_y) - 1, and the relation between them."""
    tau_y, viscosity = 400.0, 3.0
    law = rk.Casson(tau_y, viscosity)
    flow = (
        sum(c * excess**k for k, c in enumerate([1 / 3, 5 / 4, 2, 5 / 3, 5 / 7, 1 / 8])) * excess**3 / (1 + excess) ** 6
    )
    if excess < 1e-6:
        assert flow == pytest.approx(excess**3 / 3, rel=1e-7)
    wall = law.wall_shear_stress(8 * tau_y / viscosity * flow)
    assert wall - tau_y == pytest.approx(tau_y * excess * (2 + excess), rel=1e-12, abs=2e-16 * tau_y)


def test_casson_has_no_seam_where_the_yield_stress_goes_to_zero():
    """Kind: exact. Towards Newton's fluid the wall stress moves by 16/7 √(τ_y τ) (from the law by hand), and no more."""
    rate, viscosity = 10.0, 21.0
    newton, ends = rk.Newtonian(viscosity), (1e-8, 4e-3, 1e-3)
    for share in 10.0 ** np.arange(-40.0, -10.0, 0.5):
        law = rk.Casson(share * viscosity * rate, viscosity)
        assert law.wall_shear_stress(rate) / (viscosity * rate) - 1 == pytest.approx(
            16 / 7 * np.sqrt(share), rel=1e-3, abs=1e-13
        )
        assert law.cone_stress_integral(*ends) == pytest.approx(
            newton.cone_stress_integral(*ends), rel=10 * np.sqrt(share) + 1e-13
        )


@pytest.mark.slow
@pytest.mark.parametrize(
    "law",
    [BareSisko(1.0, 300.0, 0.4), OwnLaw(400.0, 2.0, 150.0), rk.Casson(500.0, 3.0)],
    ids=lambda law: type(law).__name__,
)
@pytest.mark.parametrize("read", ["pressure", "flow_rate"])
@pytest.mark.filterwarnings("ignore::rheokit.ModelRangeWarning")  # the converging loss was fitted for other laws
@pytest.mark.parametrize("tapered", [False, True], ids=["land", "cone and land"])
def test_a_pressure_run_fits_back(law, read, tapered):
    """Kind: exact. A user's law through land and cone, pressures or flows read, with a plate where it can yield."""
    land = rk.Cylinder(diameter=1.5 * mm, length=20 * mm)
    cone = rk.Cone(inlet_diameter=6 * mm, outlet_diameter=1.5 * mm, length=15 * mm)
    nozzle = rk.Nozzle(cone, land) if tapered else rk.Nozzle(land)
    flow = np.geomspace(1, 300, 7) * mm**3
    pressure = nozzle.pressure_drop(law, flow)
    tests = [rk.PressureRun(nozzle=nozzle, flow_rate=flow, pressure=pressure, relative_uncertainty=0.03, read=read)]
    if law.yield_stress:
        plate = rk.LoadedPlate(volume=5 * mL, force=9.81, radius=0.02, relative_uncertainty=0.02)
        tests.append(rk.LoadedPlate(volume=5 * mL, force=9.81, radius=plate.predict(law), relative_uncertainty=0.02))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = rk.fit(type(law), *tests).law
    rates = np.geomspace(3.0, 900.0, 9)
    assert found.shear_stress(rates) == pytest.approx(law.shear_stress(rates), rel=1e-4)
