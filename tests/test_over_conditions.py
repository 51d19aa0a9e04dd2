"""The law that readings ask for: which conditions it depends on, its references, and the same in the command and on the page."""

import re
import warnings
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import rheokit as rk
from rheokit import charts, command
from rheokit.command import codes
from rheokit.nomenclature import cells
from rheokit.units import hour
from rheokit.widgets import FitExplorer
from rheokit.widgets.fit.condition_fields import ConditionFields

ZERO = 273.15  # °C in K
DATA = Path(rk.__file__).parents[1] / "data"
RATES = np.geomspace(0.1, 100.0, 8)
HEATED = rk.heated(rk.Newtonian)(0.9198, 42e3)


def curve(celsius, name=""):
    at = ZERO + celsius
    stress = HEATED.at(temperature=at).shear_stress(RATES)
    return rk.FlowCurve(shear_rate=RATES, shear_stress=stress, temperature=at, label=name or f"{celsius:g} °C")


def batch(name, **condition):
    stress = 100 + 20 * RATES
    return rk.Bench(rk.Specimen(batch=name, **condition), [rk.FlowCurve(shear_rate=RATES, shear_stress=stress)])


# --- which conditions, and at which reference -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("celsius", "reference"),
    [
        ((38, 45, 60), 45.0),
        ((42, 50, 60), 50.0),
        ((38.2, 45.1, 59.8), 45.0),
        ((22.3, 24.9), 22.5),  # the lower of two, as far as a tenth of the 2.6 K between them
        ((-2.4, 0.1, 2.6), 0.0),
    ],
)
def test_the_reference_is_a_round_temperature_near_the_middle(celsius, reference):
    law_class = rk.over_conditions(rk.Newtonian, *map(curve, celsius))
    assert law_class is rk.heated(rk.Newtonian, reference + ZERO)


@pytest.mark.parametrize(
    ("waters", "reference"), [((0.9, 1.0, 1.1), 1.0), ((0.95, 1.05, 1.15), 1.05), ((0.62, 0.71, 0.803), 0.7)]
)
def test_the_reference_is_a_round_water_content(waters, reference):
    benches = [batch(f"{u:g}", water_content=u) for u in waters]
    assert rk.over_conditions(rk.Bingham, *benches) is rk.watered(rk.Bingham, reference)


def test_what_differs_is_depended_on_and_nothing_else():
    plan = [(u, t * hour) for u in (0.9, 1.0, 1.1) for t in (2, 24)]
    benches = [batch(f"{k}", water_content=u, age=age, temperature=ZERO + 21) for k, (u, age) in enumerate(plan)]
    wanted = rk.aged(rk.watered(rk.Bingham, 1.0), 2 * hour)
    assert rk.over_conditions(rk.Bingham, *benches) is wanted
    assert rk.over_conditions(rk.watered(rk.Bingham, 0.97), *benches) is rk.aged(rk.watered(rk.Bingham, 0.97), 2 * hour)
    assert rk.over_conditions(wanted, *benches) is wanted
    for same in ([batch("A", water_content=1.0, age=hour)], [batch("A"), batch("B", water_content=1.0)], [curve(45)]):
        assert rk.over_conditions(rk.Bingham, *same) is rk.Bingham
    near = [batch("A", water_content=1.0), batch("B", water_content=1.01)]
    assert rk.over_conditions(rk.Bingham, *near) is rk.Bingham  # which may be pooled


def test_tests_of_properties_ask_for_no_law():
    bench = rk.read_bench(DATA / "gelatin-dope-40")
    properties = bench.where(lambda test: test.gives or test.label == "60 °C")
    assert rk.over_conditions(rk.Newtonian, properties) is rk.Newtonian


@pytest.mark.parametrize(
    ("benches", "words"),
    [
        (
            [batch("A", water_content=0.9, age=hour), batch("B", water_content=1.1, age=24 * hour)],
            "fit: water content and age move together (batch A u = 0.9, 1 h; batch B u = 1.1, 24 h), so that nothing tells water slope "
            "and age exponent apart. A batch at u = 1.1 tested at 1 h would part them",
        ),
        (
            [batch("A", age=0.0), batch("B", age=24 * hour)],
            "fit: the age of flow curve, batch A is 0; a power of the age needs ages above 0, counted from mixing.",
        ),
        (
            [batch("A", age=hour), batch("B", age=24 * hour), batch("C")],
            "fit: the aged Bingham law depends on the age, which is not known of flow curve, batch C; state it of the specimen",
        ),
    ],
)
def test_what_cannot_be_told_is_refused_in_words(benches, words):
    with pytest.raises(rk.DataError, match="^" + re.escape(words)):
        rk.over_conditions(rk.Bingham, *benches)


def test_what_is_no_law_is_refused():
    with pytest.raises(
        TypeError, match=r"^fit: .* is not a flow law; give a class such as rk\.HerschelBulkley first\."
    ):
        rk.over_conditions(rk.Newtonian(1.0), curve(45))


# --- ranking, picture, command, page --------------------------------------------------------------------------------


@pytest.mark.slow
def test_laws_are_compared_over_conditions():
    random = np.random.Generator(np.random.PCG64(5))
    curves = [replace(one, shear_stress=one.shear_stress * np.exp(0.02 * random.standard_normal(8))) for one in map(curve, (38, 45, 60))]  # fmt: skip
    advice = rk.which_law(*curves, law_classes=[rk.Newtonian, rk.PowerLaw])
    assert set(advice.table.index) == {"heated Newtonian", "heated power law"}
    assert advice.law is rk.heated(rk.Newtonian, ZERO + 45)
    assert advice.words.startswith("Take the heated Newtonian law for 0.")


@pytest.mark.slow
def test_the_command_fits_a_folder_of_several_temperatures(capsys):
    assert command.main([str(DATA / "gelatin-dope-40"), "--law", "Newtonian"]) == codes.PASSED
    said = capsys.readouterr().out
    assert said.startswith("heated Newtonian law (values at 50 °C) of gelatin spinning dope, 40 % (INVENTED readings")
    bench = rk.read_bench(DATA / "gelatin-dope-40")
    row = rk.fit(rk.heated(rk.Newtonian, ZERO + 50), bench).table.loc["activation_energy"]
    value, limits, unit = cells(row.value, row.low, row.high, row.unit)
    line = next(line for line in said.splitlines() if line.startswith("activation_energy"))
    assert line.split() == ["activation_energy", "E_a", value, *limits.split(), unit]


@pytest.mark.slow
def test_the_page_fits_and_draws_readings_of_several_temperatures():
    page = FitExplorer(DATA / "gelatin-dope-40", law="Newtonian")
    assert page.fit.problem.law_class is rk.heated(rk.Newtonian, ZERO + 50)
    assert "heated Newtonian law (values at 50 °C)" in page.checks.value
    assert "activation energy" in page.numbers.value
    spec = charts.flow_curve(page.fit, checked=False, band=False).to_dict()
    assert spec["title"]["subtitle"][0] == "at 50 °C, readings taken there by the law"
    next(box for box in page.others if box.description == "power law").value = True
    assert "heated power law" in page.ranking.value
    assert "Take the heated Newtonian law" in page.ranking.value
    assert not page.message.value
    for box in page.readings.tests.children:  # one temperature alone asks for no other
        box.value = "60 °C" in box.description
    assert page.fit.problem.law_class is rk.Newtonian


@pytest.mark.slow
def test_the_page_asks_at_which_temperature_the_force_is():
    page = FitExplorer(DATA / "gelatin-dope-40", law="Newtonian")
    panel = page.force
    extruder, flow = panel.described()
    assert list(panel.at.fields) == ["temperature"]
    field = panel.at.fields["temperature"]
    assert field.shown == "50 °C"
    assert ", paste at 50 °C." in panel.headline.value
    field.value = 60.0
    with warnings.catch_warnings(action="ignore"):  # the barrel shears slower than what was read
        found = page.fit.interval(
            lambda law, rig: rig.plunger_force(law.at(temperature=ZERO + 60), flow), extruder=extruder
        )
    assert "force on the plunger {} N, 95 % from {} N".format(*cells(found.value, found.low, found.high, "N")[:2]) in (
        f"f{re.sub(r'<[^>]+>', '', panel.headline.value).partition('F')[2]}"
    )
    assert ", paste at 60 °C." in panel.headline.value
    assert "outside the readings" not in panel.numbers.value
    field.value = 70.0
    assert "extrapolated: 70 °C is outside the readings, 42 to 60 °C" in panel.numbers.value
    assert "temperature of the paste T" in panel.rests.value
    before = panel.headline.value
    field.value = 25.0  # the tilted tube of the folder set at 33 °C
    assert "is below the gel point, 33" in field.note.value
    assert panel.headline.value.endswith(before) or before in panel.headline.value
    assert "paste at 25 °C" not in panel.headline.value + panel.numbers.value
    field.value = 35.0
    assert "within 3 K of the gel point" in panel.message.value
    field.text.value = "warm"
    assert panel.headline.value  # what was last stays, and the field says why
    assert field.refused
    field.value = 55.0
    page.law.value = "power law"  # over the same reference: what was typed stays
    assert panel.at.fields["temperature"].shown == "55 °C"
    for box in page.readings.tests.children:
        box.value = "60 °C" in box.description
    assert panel.at.fields == {}
    assert "paste at" not in panel.headline.value


@pytest.mark.parametrize(("planned", "says"), [({"water_content": 0.6}, "plan"), ({}, "law as fitted")])
def test_a_condition_begins_where_the_plan_is_and_says_so(planned, says):
    law_class = rk.watered(rk.Newtonian, 0.5)
    fields = ConditionFields(lambda *_: None)
    fields.ask_of(law_class, planned)
    assert fields.condition == pytest.approx({"water_content": planned.get("water_content", 0.5)})
    assert fields.fields["water_content"].words.endswith(f", to begin with that of the {says}")
    fields.fields["water_content"].value = 0.7
    fields.ask_of(law_class, planned)
    assert fields.condition == pytest.approx({"water_content": 0.7}), "typed from the same, it stays"


def test_the_reference_is_the_same_where_an_instrument_reads_each_setting_again_and_again():
    """Measured temperatures scatter about 44, 50 and 56 °C: it is chosen of three settings, not of the rows of which there are most."""
    curves = []
    for celsius, count in ((44, 22), (56, 30)):
        rates = np.geomspace(1.5, 380.0, count)
        read = ZERO + celsius + 0.05 * np.sin(np.arange(count))
        curves.append(rk.FlowCurve(shear_rate=rates, shear_stress=rates, temperature=read, label=f"{celsius} °C"))
    law_class = rk.over_conditions(rk.PowerLaw, *curves, curve(50))
    assert law_class.reference_temperature == pytest.approx(ZERO + 50.0)
