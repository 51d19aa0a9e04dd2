"""The whole thread: worked numbers, balances that close, and what the fast formulae of the room leave out."""

import numpy as np
import pytest

import rheokit as rk
from rheokit import fibre
from rheokit.inputs import trusted
from rheokit.units import ZERO_CELSIUS, mm

WARM = 34 + ZERO_CELSIUS
DOPE = rk.heated(rk.Newtonian, 318.15)(viscosity=0.9198, activation_energy=42e3)
LINE = dict(
    flow_rate=12 * mm**3, bore=0.84 * mm, winding_speed=0.126, start_temperature=WARM, density=1090.0,
    heat_capacity=3300.0, surface_tension=0.05, water_fraction=0.66,
)  # fmt: skip
"""Of an invented dope."""


def agrees(value, expected):
    """Return whether a value has the digits of a text."""
    last = 10.0 ** -len(expected.partition(".")[2])
    return abs(value - float(expected)) <= 0.6 * last


def test_worked_thread():
    """Computed beside the code by shooting, for this purpose."""
    thread = rk.Spinline(law=DOPE, gap=1.5 * mm, **LINE).solve()
    for found, expected in (
        (1e6 * thread.tension[0], "116.81"),
        (1e6 * thread.tension[-1], "113.68"),
        (1e6 * thread.viscous_tension[0], "50.836"),
        (1e6 * thread.viscous_tension[-1], "86.331"),
        (thread.temperature[-1], "307.04608"),
        (thread.water_fraction[-1], "0.6599598"),
        (1e3 * thread.time[-1], "35.0419"),
    ):
        assert agrees(found, expected), (found, expected)
    assert max(thread.balances.values()) < 1e-6


def test_worked_thread_of_a_power_law():
    """Computed beside the code by shooting, for this purpose."""
    law = rk.heated(rk.PowerLaw, 318.15)(consistency=8.0, flow_index=0.8, activation_energy=0.0)
    thread = rk.Spinline(law=law, gap=10 * mm, **LINE).solve()
    for found, expected in (
        (1e6 * thread.tension[0], "94.736"),
        (1e6 * thread.tension[-1], "65.175"),
        (thread.temperature[-1], "306.47655"),
        (thread.time[-1], "0.241138"),
        (thread.diameter[-1] / mm, "0.34808"),
    ):
        assert agrees(found, expected), (found, expected)
    assert max(thread.balances.values()) < 1e-6


def test_what_stands_at_the_ends():
    thread = rk.Spinline(law=DOPE, gap=5 * mm, **LINE).solve()
    assert thread.speed[[0, -1]] == pytest.approx([fibre.exit_speed(12 * mm**3, 0.84 * mm), 0.126], rel=1e-9)
    assert thread.diameter[0] == pytest.approx(0.84 * mm, rel=1e-9)
    assert thread.diameter[-1] == pytest.approx(fibre.wet_diameter(flow_rate=12 * mm**3, winding_speed=0.126), rel=1e-3)
    assert (thread.position[0], thread.position[-1]) == (0.0, 5 * mm)
    assert thread.time[0] == pytest.approx(0.0, abs=1e-12)


def test_without_weight_and_cooling_it_is_the_closed_form():
    """Light, slow to cool and in damp air: the tension of `draw_tension`, and with surface tension 6 η Q φ/L."""
    law = rk.Newtonian(viscosity=1.624216)
    light = LINE | dict(density=1.0, water_fraction=1e-4, heat_capacity=4e3, start_temperature=295.15)
    wound = dict(flow_rate=12 * mm**3, bore=0.84 * mm, winding_speed=0.126)
    with trusted():  # which has no doubts about a liquid as light as air
        bare = rk.Spinline(law=law, gap=1.5 * mm, relative_humidity=0.98, **light | dict(surface_tension=0.0)).solve()
        wet = rk.Spinline(law=law, gap=1.5 * mm, relative_humidity=0.98, **light).solve()
        gain = fibre.unevenness_gain(1.624216, gap=1.5 * mm, surface_tension=0.05, density=1e-9, **wound)
    plain = fibre.draw_tension(1.624216, 1.0, gap=1.5 * mm, **wound)
    stretching = gain - np.log(fibre.draw_ratio(**wound)) / 2
    capillary = 6 * 1.624216 * 12 * mm**3 * stretching / (1.5 * mm)
    assert bare.tension == pytest.approx(np.full(201, plain), rel=1e-3)
    assert wet.tension == pytest.approx(np.full(201, capillary), rel=1e-3)


def test_refusals():
    with pytest.raises(rk.DataError) as caught:
        rk.Spinline(law=rk.Bingham(yield_stress=650.0, plastic_viscosity=6.2), gap=1.5 * mm, **LINE)
    assert str(caught.value) == (
        "Spinline: law = Bingham has a yield stress, and pastes are not drawn; a dope that is drawn has a law without, such as "
        "Newtonian or the power law."
    )
    with pytest.raises(rk.DataError) as caught:
        rk.Spinline(law=DOPE, gap=0.9, **LINE).solve()
    assert str(caught.value) == (
        "Spinline: no steady thread was found over gap = 900 mm; one that is too long hangs slack (`fibre.taut_length`): "
        "take a shorter gap."
    )
    with pytest.raises(rk.DataError, match=r"water_fraction = 0\.95 must be so small"):
        rk.Spinline(law=DOPE, gap=1.5 * mm, **LINE | dict(water_fraction=0.95))
    with pytest.raises(rk.DataError, match="Spinline: water_fraction = 66 must be from 0 to 1; give 8 % as"):
        rk.Spinline(law=DOPE, gap=1.5 * mm, **LINE | dict(water_fraction=66.0))
    with pytest.raises(rk.DataError) as caught:
        rk.Spinline(law=DOPE, gap=1.5 * mm, **LINE | dict(flow_rate=np.array([12.0, 13.0]) * mm**3))
    assert str(caught.value) == (
        "Spinline: flow_rate has shape (2,); give one number, and ask for each of several in turn."
    )
    with pytest.raises(rk.DataError) as caught:
        rk.Spinline(law=DOPE, gap=1.5 * mm, air_temperature=270.0, **LINE)
    assert str(caught.value) == (
        "Spinline: air_temperature = 270 K must be at least 0 °C, 273.15 K: colder, water freezes, and what it gives to the air "
        "is not known."
    )
    with pytest.raises(rk.DataError, match="Spinline: gap = nan m is no finite number"):
        rk.Spinline(law=DOPE, gap=np.nan, **LINE)


LOOSE = dict(
    law=rk.heated(rk.PowerLaw, 318.15)(consistency=8.3, flow_index=0.8, activation_energy=43e3),
    **LINE | dict(flow_rate=10 * mm**3, bore=0.8 * mm, winding_speed=0.1, start_temperature=310.0),
)  # fmt: skip
"""Taut up to 32 mm, where the viscous tension at the end is 0."""


def test_a_thread_that_pushes_the_drum_is_no_answer():
    with pytest.raises(rk.DataError) as caught:
        rk.Spinline(gap=0.04, **LOOSE).solve()
    assert str(caught.value) == (
        "Spinline: over gap = 40 mm the thread hangs slack (`fibre.taut_length`): it would fall at up to 106.7 mm/s, faster than "
        "it is wound, 100 mm/s; take a shorter gap or a thicker dope."
    )
    for gap in (0.035, 0.1, 0.5):
        with pytest.raises(rk.DataError, match="hangs slack"):
            rk.Spinline(gap=gap, **LOOSE).solve()


def test_a_drum_slower_than_the_exit_draws_nothing():
    with pytest.raises(rk.DataError) as caught:
        rk.Spinline(gap=0.01, **LOOSE | dict(winding_speed=0.005)).solve()
    assert str(caught.value) == (
        "Spinline: winding_speed = 5 mm/s is slower than the exit, 19.9 mm/s: the thread hangs slack; wind faster, or take less "
        "flow or a wider bore."
    )


def test_a_thread_that_surface_tension_alone_holds_is_doubted(recwarn):
    with pytest.warns(rk.ModelRangeWarning) as caught:
        thread = rk.Spinline(gap=0.032, **LOOSE).solve()
    assert thread.viscous_tension.min() < 0 < thread.tension.min()
    assert str(caught[0].message) == (
        "Spinline: the thread is not stretched all along gap = 32 mm, surface tension alone holds it there: it is about to hang "
        "slack or to form beads. Take a shorter gap or a thicker dope."
    )
    assert not recwarn.list
    assert rk.Spinline(gap=0.025, **LOOSE).solve().viscous_tension.min() > 0
    assert not recwarn.list


@pytest.mark.slow
def test_balances_close_for_any_thread_that_hangs_taut():
    random = np.random.default_rng(11)
    for _ in range(60):
        viscosity, energy = np.exp(random.uniform(np.log(0.5), np.log(100))), random.uniform(20e3, 60e3)
        index, start = random.choice([1.0, 0.8, 0.6]), random.uniform(308, 333)
        law = rk.heated(rk.PowerLaw, 320.0)(consistency=viscosity, flow_index=index, activation_energy=energy)
        bore, flow = random.uniform(0.4, 1.5) * mm, np.exp(random.uniform(np.log(2), np.log(50))) * mm**3
        winding = fibre.exit_speed(flow, bore) * np.exp(random.uniform(0.3, 2.7))
        liquid = dict(flow_rate=flow, bore=bore, winding_speed=winding, density=1090.0, surface_tension=0.05)
        stress = float(law.at(start).shear_stress(1.0))
        gap = random.uniform(0.05, 0.9) * fibre.taut_length(stress, index, **liquid)
        line = rk.Spinline(
            law=law, gap=gap, start_temperature=start, heat_capacity=3300.0, water_fraction=random.uniform(0.4, 0.8),
            relative_humidity=random.uniform(0.2, 0.9), **liquid,
        )  # fmt: skip
        assert max(line.solve().balances.values()) < 1e-6, line


@pytest.mark.slow
def test_the_fast_formulae_of_cooling_and_setting_against_the_whole_thread():
    """Drawn all along its way a thread cools on a way 4 to 13 % longer than the fast formula has, and sets within 5 %."""
    random = np.random.default_rng(5)
    for _ in range(20):
        viscosity, flow = np.exp(random.uniform(np.log(100), np.log(400))), random.uniform(3, 8) * mm**3
        winding = fibre.exit_speed(flow, 0.84 * mm) * random.uniform(2, 12)
        wound = dict(flow_rate=flow, bore=0.84 * mm, winding_speed=winding, density=1090.0, surface_tension=0.05)
        gap = 0.8 * fibre.taut_length(viscosity, 1.0, **wound)
        line = dict(gap=gap, start_temperature=333.15, heat_capacity=3300.0, water_fraction=0.66)
        thread = rk.Spinline(law=rk.Newtonian(viscosity), **line, **wound).solve()
        wet = fibre.wet_diameter(flow_rate=flow, winding_speed=winding)
        room = dict(
            diameter=wet, speed=winding, volumetric_heat=1090 * 3300.0, air_temperature=295.15, relative_humidity=0.5
        )
        way = winding * fibre.cooling_time(333.15, thread.temperature[-1], **room)
        assert 1.02 < gap / way < 1.15
        gel = min(thread.temperature[-1] + 15, 333.0)
        setting = np.trapezoid((np.maximum(gel - thread.temperature, 0) / 10) ** 2, thread.time)
        way = fibre.setting_length(333.15, gel_temperature=gel, setting_time=setting, setting_exponent=2.0, **room)
        assert 0.93 < gap / way < 1.07
