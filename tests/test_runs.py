"""Runs of one record: told, recognised from settings that restart or turn, and not seen where there are none."""

import numpy as np
import pytest

import rheokit as rk
from rheokit.bench.gathered import gathered
from rheokit.bench.runs import runs_of, setting_of

RATES = np.geomspace(0.1, 1000.0, 25)


def curve(rates, **more):
    return rk.FlowCurve(shear_rate=rates, shear_stress=50.0 + 20.0 * np.asarray(rates, float) ** 0.4, **more)


def found(rates, **more):
    """Return number and branch of each row, as a text of one sign a row each."""
    runs = runs_of(curve(rates, **more))
    numbers = "".join("0123456789abcdef"[n] for n in runs.numbers)
    return numbers, "".join({"up": "+", "down": "-", "": "."}[branch] for branch in runs.branches)


def test_thirty_four_runs_in_one_file_are_thirty_four():
    """Of 20 to 30 rates each, kept to 3 %."""
    rng = np.random.default_rng(5)
    rates = [np.geomspace(0.1, 1000.0, 20 + k % 11) for k in range(34)]
    noisy = np.concatenate(rates) * np.exp(rng.normal(0, 0.03, sum(map(len, rates))))
    runs = runs_of(curve(noisy))
    np.testing.assert_array_equal(runs.numbers, np.repeat(np.arange(1, 35), [len(one) for one in rates]))
    assert runs.ways == dict.fromkeys(range(1, 35), "up")
    assert not runs.told


def test_up_and_down_are_two():
    runs = runs_of(curve([*RATES, *RATES[::-1]]))
    assert runs.ways == {1: "up", 2: "down"}
    np.testing.assert_array_equal(runs.numbers, np.repeat([1, 2], 25))  # the highest rate stands twice: one for each
    assert found([1, 10, 100, 10, 1]) == ("11122", "+++--")
    assert found([100, 10, 1, 10, 100]) == ("11122", "---++")


def test_a_ramp_of_many_fine_steps_up_and_down_is_two():
    """1 % steps that scatter by 2 %: a step back is no turn; the cut lies within the level of the highest rates."""
    rng = np.random.default_rng(2)
    up = np.geomspace(1.0, 400.0, 600)
    rates = np.concatenate([up, up[::-1]]) * np.exp(rng.normal(0, 0.02, 1200))
    runs = runs_of(curve(rates))
    assert runs.ways == {1: "up", 2: "down"}
    assert abs(int(np.sum(runs.rows(1))) - 600) < 15


@pytest.mark.parametrize(
    ("rates", "numbers", "branches"),
    [
        ([1, 1, 1, 10, 10, 10, 100, 100, 100], "111111111", "+++++++++"),  # repeats of one rate
        ([1, 10, 100, 1000, 1], "11111", "+++++"),  # the first one repeated last
        ([1, 10, 100, 1, 10, 100], "111222", "++++++"),
        ([100, 10, 1, 100, 10, 1], "111222", "------"),
        ([1, 1, 10, 10, 100, 100, 1, 1, 10, 10, 100, 100], "111111222222", "++++++++++++"),
        ([1, 1, 10, 10, 100, 100, 10, 10, 1, 1], "1111112222", "++++++----"),
        ([1, 1, 10, 10, 100, 100, 100, 100, 10, 10, 1, 1], "111111222222", "++++++------"),
        ([1, 10, 100, 10, 1, 10, 100, 10, 1], "111223344", "+++--++--"),
        ([1, 100, 1], "111", "..."),  # two steps make no curve
        ([1, 100, 1, 100, 1, 100], "111111", "......"),
        ([5, 5, 5, 5], "1111", "...."),
        ([1.0, 1.03, 0.98, 1.01, 1.0, 1.04], "111111", "......"),  # one rate, kept to a few per cent
        ([1, 3, 2, 7, 5, 11, 8], "1111111", "......."),
        ([0, 1, 10, 100, 0, 1, 10, 100], "11112222", "++++++++"),  # at rest first
    ],
)
def test_what_is_a_run_and_what_is_none(rates, numbers, branches):
    more = {"error": "absolute"} if 0 in rates else {}
    assert found(rates, **more) == (numbers, branches)


def test_a_shuffled_order_is_one_run():
    rng = np.random.default_rng(1)
    shuffled = [runs_of(curve(rng.permutation(RATES))).ways for _ in range(300)]
    assert sum(ways == {1: ""} for ways in shuffled) > 285


def test_settings_shuffled_within_each_run_are_that_many_runs():
    rng, count = np.random.default_rng(2), 0
    for _ in range(100):
        runs = runs_of(curve(np.concatenate([rng.permutation(RATES) for _ in range(3)])))
        count += list(runs.numbers) == [number for number in (1, 2, 3) for _ in RATES]
    assert count >= 95  # others rise or fall by chance more often than a random order does


def test_settings_shuffled_all_together_are_one_run():
    rng = np.random.default_rng(3)
    assert sum(len(runs_of(curve(rng.permutation(np.tile(RATES, 3)))).ways) == 1 for _ in range(200)) > 185


@pytest.mark.parametrize("rates", [[10, 1, 100, 1, 100, 10], [10, 1, 100, 30, 30, 1, 10, 100]])
def test_few_settings_in_complete_blocks_are_one_run_since_chance_makes_them(rates):
    assert set(runs_of(curve(rates)).numbers) == {1}


def test_rows_are_taken_in_the_order_in_which_they_were_read():
    """A table sorted by rate, of a run up and a run down."""
    rates, order = [1, 1, 10, 10, 100, 100], [1, 6, 2, 5, 3, 4]
    assert found(rates, run_order=order) == ("121212", "+-+-+-")
    assert found(rates) == ("111111", "++++++")


def test_the_column_tells_runs_before_anything_else():
    runs = runs_of(curve([1, 10, 100, 1, 10, 100, 10, 1], run=[7, 7, 7, 3, 3, 3, 3, 3]))
    assert runs.told
    assert runs.ways == {7: "up", 3: ""}
    np.testing.assert_array_equal(runs.numbers, [7, 7, 7, 3, 3, 3, 3, 3])
    assert list(runs.branches) == ["up"] * 6 + ["down"] * 2
    np.testing.assert_array_equal(runs.rows(3), np.arange(8) > 2)


def test_the_number_of_a_run_is_whole():
    with pytest.raises(rk.DataError) as raised:
        curve([1, 2, 3], run=[1, 1.5, 2])
    assert str(raised.value) == "flow curve: run in row 2 is 1.5; it numbers the runs, so write a whole number."


def test_the_setting_is_what_varies_and_was_not_read():
    rates = np.array([1.0, 2.0, 4.0])
    nozzle = rk.Nozzle(rk.Cylinder(diameter=2e-3, length=0.02))
    run = rk.PressureRun(nozzle=nozzle, flow_rate=rates * 1e-8, pressure=rates * 1e5, read="flow_rate", time=rates)
    assert setting_of(run) == "pressure"
    assert setting_of(curve(rates)) == "shear_rate"
    plate = rk.Spread(volume=5e-6, density=1100.0, radius=[0.02, 0.021], time=[1.0, 2.0])
    assert setting_of(plate) == ""
    assert runs_of(plate).ways == {1: ""}


def test_many_readings_are_gathered_within_a_run():
    """1200 rows up and down, which differ by a third: no mean holds both."""
    up = np.geomspace(1.0, 400.0, 600)
    rates, factor = np.concatenate([up, up[::-1]]), np.repeat([1.0, 1.35], 600)
    test = rk.FlowCurve(shear_rate=rates, shear_stress=100 * rates**0.3 * factor)
    (few,) = gathered([test])
    assert len(few.readings) < 400
    assert set(few.run) == {1.0, 2.0}
    ratio = few.shear_stress / (100 * few.shear_rate**0.3)
    np.testing.assert_allclose(ratio, np.where(few.run == 1, 1.0, 1.35), rtol=0.01)
