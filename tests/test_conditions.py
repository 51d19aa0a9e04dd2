"""Laws that depend on temperature, water and age: their numbers, how they stand beside each other, what they refuse."""

import copy
import pickle
import re
import warnings

import numpy as np
import pytest

import rheokit as rk
from rheokit.errors import DataError
from rheokit.laws import LAWS

ZERO = 273.15  # °C in K
PASTE = {"yield_stress": 650.0, "consistency": 210.0, "flow_index": 0.38}


# --- the numbers ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("celsius", "viscosity"), [(60, 0.450012), (50, 0.719451), (45, 0.9198), (38, 1.314690), (34, 1.624216)]
)
def test_viscosity_of_a_heated_newtonian_law(celsius, viscosity):
    """Kind: independent. 0.9198 exp[42000/8.314462618 (1/T - 1/318.15)], by hand."""
    dope = rk.heated(rk.Newtonian, 318.15)(0.9198, 42e3)
    assert dope.at(temperature=ZERO + celsius).shear_stress(1.0) == pytest.approx(viscosity, rel=1e-6)


def test_a_heated_power_law_moves_with_the_power_of_the_factor():
    """Kind: independent. a_T at 34 °C by hand, and 5 (a_T 10)^0.7."""
    law = rk.heated(rk.PowerLaw)(5.0, 0.7, 42e3)
    assert law.rate_factor(307.15) == pytest.approx(1.765836, rel=1e-6)
    assert law.at(307.15).shear_stress(10.0) == pytest.approx(37.31086, rel=1e-7)
    assert law.at(307.15).yield_stress == 0


def test_water_and_age_move_every_stress():
    """Kind: independent. exp(-3.2*0.15) = 0.6187834, 24^0.12 = 1.4642841, by hand."""
    law = rk.aged(rk.watered(rk.HerschelBulkley, 0.9), 3600.0)(**PASTE, water_slope=3.2, age_exponent=0.12)
    there = law.at(water_content=1.05, age=24 * 3600.0)
    assert law.stress_factor(water_content=1.05) == pytest.approx(0.6187834, rel=1e-7)
    assert law.stress_factor(age=86400.0) == pytest.approx(1.4642841, rel=1e-7)
    assert there.yield_stress == pytest.approx(650 * 0.6187834 * 1.4642841, rel=1e-7)
    assert there.shear_stress(7.0) == pytest.approx(0.6187834 * 1.4642841 * law.shear_stress(7.0), rel=1e-7)
    assert law.rate_factor(water_content=1.05, age=86400.0) == 1


@pytest.mark.parametrize("law_class", LAWS.values(), ids=lambda one: one.name)
def test_at_the_reference_it_is_the_law_that_it_was_made_of(law_class):
    """Kind: exact. No formula of it differs, and none costs a search more."""
    made = rk.heated(law_class)
    assert made.name == f"heated {law_class.name}"
    for method in ("shear_stress", "shear_rate", "wall_shear_stress", "cone_stress_integral", "stretching_stress"):
        assert getattr(made, method) is getattr(law_class, method)
    assert list(made.parameters()) == [*law_class.parameters(), "activation_energy"]


# --- conditions beside each other -----------------------------------------------------------------------------------


def test_the_order_in_which_conditions_are_asked_for_does_not_matter():
    one = rk.heated(rk.aged(rk.watered(rk.HerschelBulkley, 0.9), 3600.0))
    assert one is rk.watered(rk.aged(rk.heated(rk.HerschelBulkley), 3600.0), 0.9)
    assert one is not rk.heated(rk.aged(rk.watered(rk.HerschelBulkley, 0.95), 3600.0))
    assert list(one.parameters())[-3:] == ["activation_energy", "water_slope", "age_exponent"]
    assert (one.reference_temperature, one.reference_water, one.reference_age) == (318.15, 0.9, 3600.0)


def test_another_condition_is_asked_of_the_law_and_not_of_what_was_shifted():
    law = rk.heated(rk.watered(rk.PowerLaw, 0.9))(5.0, 0.7, 42e3, 3.0)
    both = law.at(temperature=307.15, water_content=1.0).shear_stress(3.0)
    assert law.at(temperature=307.15).at(water_content=1.0).shear_stress(3.0) == both
    assert law.at(temperature=290.0, water_content=1.0).at(temperature=307.15).shear_stress(3.0) == both
    assert rk.Shifted(law, 1.3).at(temperature=307.15, water_content=1.0).shear_stress(3.0) == pytest.approx(1.3 * both)


def test_what_a_law_has_no_parameter_for_changes_nothing():
    law, heated = rk.PowerLaw(5.0, 0.7), rk.heated(rk.PowerLaw)(5.0, 0.7, 42e3)
    assert law.at(temperature=300.0, age=3.0) is law
    assert heated.at(water_content=3.0) is heated
    assert rk.Shifted(law, 2.0).at(temperature=300.0).law is law


def test_columns_of_draws_and_of_conditions_broadcast():
    law = rk.heated(rk.HerschelBulkley)(**PASTE, activation_energy=np.array([30e3, 50e3])[:, None])
    warm = np.array([310.0, 318.15, 330.0])
    found = law.at(temperature=warm)
    stress = found.wall_shear_stress(4.0)
    assert stress.shape == (2, 3)
    alone = rk.heated(rk.HerschelBulkley)(**PASTE, activation_energy=50e3).at(temperature=330.0)
    assert stress[1, 2] == pytest.approx(alone.wall_shear_stress(4.0), rel=1e-12)
    assert found.stretching_stress(1e-8, 4e-3, 1e-3)[1, 2] == pytest.approx(alone.stretching_stress(1e-8, 4e-3, 1e-3))


@pytest.mark.parametrize("again", [lambda one: pickle.loads(pickle.dumps(one)), copy.deepcopy, copy.copy])
def test_laws_and_their_classes_are_copied_and_pickled(again):
    law_class = rk.watered(rk.heated(rk.HerschelBulkley), 0.9)
    law = law_class(**PASTE, activation_energy=42e3, water_slope=3.0)
    there = law.at(temperature=300.0)
    assert again(law_class) is law_class
    assert type(again(law)) is law_class
    assert again(law).values == law.values
    assert again(there).shear_stress(3.0) == there.shear_stress(3.0)
    assert again(there).at(temperature=310.0).shear_stress(3.0) == law.at(temperature=310.0).shear_stress(3.0)


def test_it_shows_itself_by_its_parameters():
    law = rk.heated(rk.Newtonian)(0.92, 42e3)
    assert repr(law) == "HeatedNewtonian(viscosity=0.92 Pa·s, activation_energy=42 kJ/mol)"


def test_what_holds_what():
    """Kind: exact. A law that depends on fewer conditions has none of their effects; one of another reference is another law."""
    both = rk.heated(rk.watered(rk.HerschelBulkley, 0.9))
    found = both.holding(rk.heated(rk.Bingham)(300.0, 6.0, 30e3))
    assert found == {
        "yield_stress": 300.0, "consistency": 6.0, "flow_index": 1.0, "activation_energy": 30e3, "water_slope": 0.0,
    }  # fmt: skip
    assert both.holding(rk.Bingham(300.0, 6.0)) is not None
    assert both.holding(rk.heated(rk.Bingham, 300.0)(300.0, 6.0, 30e3)) is None
    for larger in LAWS.values():
        assert larger.holding(rk.heated(rk.Newtonian)(3.0, 30e3)) is None


# --- what is refused ------------------------------------------------------------------------------------------------


def refused(ask):
    with pytest.raises(DataError) as error:
        ask()
    return str(error.value)


@pytest.mark.parametrize(
    ("law", "condition", "said"),
    [
        (
            rk.aged(rk.Bingham, 3600.0)(650.0, 12.0, 0.1),
            {"age": 0.0},
            "the aged Bingham law: age = 0 s must be above 0; check the value and its unit.",
        ),
        (
            rk.aged(rk.Bingham, 3600.0)(650.0, 12.0, -0.1),
            {"age": [60.0, 0.0]},
            "the aged Bingham law: age = 0 s must be above 0; check the value and its unit.",
        ),
        (rk.heated(rk.Newtonian)(0.9, 42e3), {"temperature": 0.0}, ": temperature = 0 K cannot be below -100 °C."),
    ],
)
def test_a_condition_of_nothing_is_refused_by_its_name(law, condition, said):
    """A power of no age and an Arrhenius factor at 0 K are no numbers, in whichever way they are asked for."""
    for ask in (law.at, law.stress_factor, law.rate_factor):
        with warnings.catch_warnings(action="ignore", category=rk.UnlikelyWarning):
            assert refused(lambda ask=ask: ask(**condition)).endswith(said)


def test_no_water_is_a_water_content():
    assert rk.watered(rk.Bingham, 0.9)(650.0, 12.0, 3.2).stress_factor(water_content=0.0) == pytest.approx(
        np.exp(3.2 * 0.9)
    )


def test_what_is_no_class_of_laws_or_is_heated_already_is_refused():
    assert refused(lambda: rk.heated(rk.Bingham(3.0, 4.0))) == (
        "heated: a Bingham is no class of laws; give one such as rk.HerschelBulkley."
    )
    assert refused(lambda: rk.heated(rk.watered(rk.heated(rk.Bingham), 0.9))) == (
        "heated: the heated watered Bingham law is heated already, with reference_temperature = 318.15; make it anew of Bingham."
    )
    assert refused(lambda: rk.aged(rk.Bingham, 0.0)) == (
        "aged: reference_age = 0 must be above 0; check the value and its unit."
    )


def test_a_temperature_in_degrees_is_refused():
    assert refused(lambda: rk.heated(rk.Bingham, 45.0)) == (
        "heated: reference_temperature = 45 K cannot be below -100 °C (did you mean 45 °C? That is 318.15 K)."
    )
    assert refused(lambda: rk.heated(rk.Newtonian)(0.92, 42e3).at(temperature=60.0)).endswith(
        "temperature = 60 K cannot be below -100 °C (did you mean 60 °C? That is 333.15 K)."
    )


# --- the equations that are printed ---------------------------------------------------------------------------------

GREEK = {"τ": "tau", "γ̇": "rate", "η": "eta", "λ": "lam", "μ": "mu", "∞": "inf"}


def computed(equation, known):
    """Return the stress by a printed equation, read as a reader does: what stands beside one another is multiplied."""
    text = equation.partition(" above yield")[0]
    parts = [part.partition(" with ") for part in text.split(", ")]
    steps = [after for _, _, after in parts if after] + [before for before, _, _ in parts]
    known = {"sqrt": np.sqrt, "exp": np.exp} | known
    for step in steps:
        left, _, right = step.partition(" = ")
        right = re.sub("√(τ_y)", r"√(\1)", right).replace("√", "sqrt").translate(str.maketrans("[]", "()"))
        for power, word in (("ⁿ", "^n"), ("½", "0.5"), ("ᵃ", "^a")):
            right = right.replace(power, word)
        for letter, word in GREEK.items():
            right = right.replace(letter, word)
        right = re.sub(r"(?<=[\w)]) (?=[\w(])", "*", right).replace("^", "**")
        name = left if "τ" not in left or left == "τ" else "found"
        value = eval(right, {}, known)
        for letter, word in GREEK.items():
            name = name.replace(letter, word)
        known[name] = value
        if "found" in known:
            factor = known.get("a_u", 1.0) * known.get("a_t", 1.0)
            return factor * (known["found"] ** 2 if left.startswith("√") else known["found"])
    return known["tau"]


@pytest.mark.parametrize("name", LAWS)
def test_the_equation_as_printed_gives_the_stress_at_a_condition(name):
    """Kind: independent. Equation and rules as they are printed, computed by hand of their letters alone."""
    law_class = rk.aged(rk.watered(rk.heated(LAWS[name], 323.15), 0.9), 3600.0)
    plain = LAWS[name].guess([1.0, 3.0, 10.0, 30.0, 100.0], [300.0, 350.0, 450.0, 600.0, 950.0])
    law = law_class(**plain.values, activation_energy=42e3, water_slope=3.2, age_exponent=0.12)
    letters = {"rate": 7.0, "T": 307.15, "T_r": 323.15, "R": 8.314462618, "u": 1.05, "u_r": 0.9, "t_a": 7200.0}
    letters |= {"t_r": 3600.0, "E_a": 42e3, "b": 3.2, "m": 0.12}
    for key, one in LAWS[name].parameters().items():
        symbol = one.symbol
        for letter, word in GREEK.items():
            symbol = symbol.replace(letter, word)
        letters[symbol] = float(getattr(plain, key))
    for condition, _ in law_class.conditions:
        letters[condition.factor] = factor(condition.rule, letters)
    wanted = law.at(temperature=307.15, water_content=1.05, age=7200.0).shear_stress(7.0)
    assert computed(law_class.equation(), letters) == pytest.approx(float(wanted), rel=1e-9)


def factor(rule, letters):
    """Return a factor by its printed rule."""
    right = rule.partition(" = ")[2].translate(str.maketrans("[]", "()"))
    right = re.sub(r"(?<=[\w)]) (?=[\w(])", "*", right).replace("^", "**")
    return eval(right, {}, {"exp": np.exp} | letters)
