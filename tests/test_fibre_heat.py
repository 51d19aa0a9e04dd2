"""Heat and setting of threads and needles against slow solvers: finite volumes, marching, power series.

None of them shares a formula with what it is held to, but for the vapour pressure and the heat of evaporation of `drying`.
"""

import mpmath
import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import eigh_tridiagonal
from scipy.special import jn_zeros

import rheokit as rk
from rheokit import drying, fibre
from rheokit.fibre.thermal import PARABOLIC_RATES, PARABOLIC_SHARES
from rheokit.part.drying.diffusion import BESSEL_ZEROS

CASES = 200


def volumes(faces, capacity):
    """Return decay rates and modes of diffusion along a radius, no flow through its middle and the end of it at 0.

    Finite volumes between `faces`, each of a capacity by area; the returned function gives the mean, weighted by capacity
    over `within`, at times.
    """
    middles = (faces[1:] + faces[:-1]) / 2
    holds = capacity(middles) * (faces[1:] ** 2 - faces[:-1] ** 2) / 2
    conducts = faces[1:] / np.append(np.diff(middles), faces[-1] - middles[-1])
    root = np.sqrt(holds)
    diagonal = (conducts + np.append(0.0, conducts[:-1])) / holds
    rates, modes = eigh_tridiagonal(diagonal, -conducts[:-1] / (root[1:] * root[:-1]))

    def mean(times, start, within):
        begin = modes.T @ (start * root)
        weigh = (within * root) @ modes
        return np.exp(-np.multiply.outer(times, rates)) @ (begin * weigh) / np.sum(within * holds)

    return mean, middles


def even(count):
    """Return faces on 0 to 1."""
    return np.linspace(0.0, 1.0, count + 1)


def extrapolated(solve, count):
    """Return what finite volumes give, with their error of second order taken off."""
    coarse, fine = solve(count), solve(2 * count)
    return fine + (fine - coarse) / 3


# --- heat in the needle ------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_heat_in_a_nozzle_by_finite_volumes():
    along = np.exp(np.random.default_rng(1).uniform(np.log(1e-4), np.log(1.0), CASES))

    def parabolic(count):
        mean, middles = volumes(even(count), lambda radius: 1 - radius**2)
        return mean(2 * along, np.ones_like(middles), np.ones_like(middles))

    def plug(count):
        mean, middles = volumes(even(count), np.ones_like)
        return mean(4 * along, np.ones_like(middles), np.ones_like(middles))

    assert fibre.temperature_left(along) == pytest.approx(extrapolated(parabolic, 1000), rel=0, abs=3e-6)
    assert fibre.temperature_left(along, "plug") == pytest.approx(extrapolated(plug, 1000), rel=0, abs=1e-6)


def along_the_radius(eigenvalue, terms=260):
    """Return coefficients of ρ^2k of the solution of (ρ T')'/ρ + 2 μ (1 - ρ²) T = 0 that is 1 in the middle."""
    found = [mpmath.mpf(1), -eigenvalue / 2]
    for k in range(2, terms):
        found.append(-2 * eigenvalue * (found[k - 1] - found[k - 2]) / (4 * k * k))
    return found


@pytest.mark.slow
def test_eigenvalues_of_heat_in_a_parabolic_flow():
    """By power series in 50 digits; the first is the Nusselt number 3.656793457763..., OEIS A282581."""
    with mpmath.workdps(50):
        for place, (rate, share) in enumerate(zip(PARABOLIC_RATES, PARABOLIC_SHARES, strict=True)):
            root = mpmath.findroot(lambda mu: mpmath.fsum(along_the_radius(mu)), mpmath.mpf(float(rate)))
            series = along_the_radius(root)
            flow = mpmath.fsum(
                4 * c * (mpmath.mpf(1) / (2 * k + 2) - mpmath.mpf(1) / (2 * k + 4)) for k, c in enumerate(series)
            )
            square = [mpmath.fsum(series[j] * series[k - j] for j in range(k + 1)) for k in range(len(series))]
            norm = mpmath.fsum(
                4 * c * (mpmath.mpf(1) / (2 * k + 2) - mpmath.mpf(1) / (2 * k + 4)) for k, c in enumerate(square)
            )
            if place == 0:
                assert float(root) == pytest.approx(3.656793457763, rel=1e-12)
            assert rate == pytest.approx(float(root), rel=5e-9)
            assert share == pytest.approx(float(flow**2 / norm), rel=2e-8)


def test_nusselt_number_of_what_is_left():
    """d ln(left)/dx* is -4 Nu far from the inlet: 3.656793457763, OEIS A282581."""
    far = fibre.temperature_left(np.array([0.5, 1.0]))
    assert np.log(far[0] / far[1]) / (4 * 0.5) == pytest.approx(3.656793457763, rel=1e-6)


@pytest.mark.slow
def test_pauses_by_marching():
    random = np.random.default_rng(2)
    for _ in range(CASES):
        air, start = random.uniform(283, 300), random.uniform(285, 340)
        gel, constant = random.uniform(air + 1, 315), np.exp(random.uniform(1, 5))
        rule = dict(
            gel_temperature=gel, setting_time=np.exp(random.uniform(-1, 5)), setting_exponent=random.uniform(0.7, 3)
        )
        found = fibre.pause_limit(start, air, time_constant=constant, **rule)

        def marched(time, state, air=air, gel=gel, constant=constant, rule=rule):
            below = max(gel - state[0], 0.0) / 10
            return -(state[0] - air) / constant, below ** rule["setting_exponent"] / rule["setting_time"]

        end = solve_ivp(marched, (0.0, found), [start, 0.0], method="LSODA", rtol=1e-9, atol=1e-11, max_step=found / 50)
        assert end.y[1, -1] == pytest.approx(1.0, rel=2e-6)


def test_a_paused_needle_in_a_room_above_the_gel_point_never_blocks():
    assert fibre.pause_limit(330.0, 305.0, time_constant=50.0, gel_temperature=304.15, setting_time=6.5) == np.inf
    assert fibre.time_to_cool(330.0, 305.0, 304.0, time_constant=50.0) == np.inf
    assert fibre.time_to_cool(300.0, 290.0, 304.0, time_constant=50.0) == 0.0


# --- a cylinder -----------------------------------------------------------------------------------------------------


def test_zeros_of_the_bessel_function():
    assert pytest.approx(jn_zeros(0, len(BESSEL_ZEROS)), rel=1e-12) == BESSEL_ZEROS


@pytest.mark.slow
def test_uptake_of_a_cylinder_by_finite_volumes():
    fourier = np.exp(np.random.default_rng(3).uniform(np.log(1e-4), np.log(1.5), CASES))

    def left(count):
        mean, middles = volumes(even(count), np.ones_like)
        return mean(fourier, np.ones_like(middles), np.ones_like(middles))

    uptake = drying.cylinder_uptake(fourier)
    assert uptake == pytest.approx(1 - extrapolated(left, 1000), rel=0, abs=1e-6)
    assert drying.cylinder_fourier(uptake) == pytest.approx(fourier, rel=1e-9)


# --- in the air -----------------------------------------------------------------------------------------------------


def thread_in_air(case):
    """Return the slopes of temperature and setting of a thread in the air, and of its cooling."""
    number = 0.42 * (case["speed"] * case["diameter"] / 1.6e-5) ** 0.334
    number *= (1 + (8 * case["draught"] / case["speed"]) ** 2) ** 0.167
    transfer = number * 0.0263 / case["diameter"]
    in_air = drying.vapour_density(case["air_temperature"], case["relative_humidity"])

    def slopes(time, state):
        flux = transfer / 1090 * (case["water_activity"] * drying.vapour_density(state[0]) - in_air)
        lost = transfer * (state[0] - case["air_temperature"]) + flux * drying.latent_heat(state[0])
        below = max(case["gel_temperature"] - state[0], 0.0) / 10
        return -4 * lost / (case["volumetric_heat"] * case["diameter"]), below ** case["setting_exponent"] / case[
            "setting_time"
        ]

    return slopes


def airs(seed, count=CASES):
    random = np.random.default_rng(seed)
    for _ in range(count):
        yield dict(
            diameter=np.exp(random.uniform(np.log(2e-4), np.log(1e-3))),
            speed=np.exp(random.uniform(np.log(0.02), np.log(2.0))),
            volumetric_heat=random.uniform(3e6, 4.2e6),
            air_temperature=random.uniform(285, 304),
            relative_humidity=random.uniform(0.2, 0.9),
            water_activity=random.uniform(0.9, 1.0),
            draught=random.choice([0.0, 0.1]),
            gel_temperature=random.uniform(302, 312),
            setting_time=np.exp(random.uniform(0, 4)),
            setting_exponent=random.uniform(0.8, 3.0),
        ), random.uniform(308, 360)  # fmt: skip


NO_GEL = ("gel_temperature", "setting_time", "setting_exponent")


@pytest.mark.slow
def test_threads_in_the_air_by_marching():
    """Cooling time, setting progress and the way on which a thread sets, each against the plain equation."""
    for case, start in airs(4):
        length = fibre.setting_length(start, **case)
        time = length / case["speed"]
        march = solve_ivp(
            thread_in_air(case), (0.0, time), [start, 0.0], method="LSODA", rtol=1e-8, atol=1e-9, dense_output=True
        )
        assert march.y[1, -1] == pytest.approx(1.0, rel=3e-4)
        half = time * 0.6
        assert fibre.setting_progress(half, start, **case) == pytest.approx(march.sol(half)[1], rel=0, abs=2e-4)
        cooled = float(march.sol(time / 10)[0])
        plain = {name: value for name, value in case.items() if name not in NO_GEL}
        if cooled > fibre.settled_temperature(
            air_temperature=case["air_temperature"], relative_humidity=case["relative_humidity"],
            water_activity=case["water_activity"],
        ) + 0.05:  # fmt: skip
            assert fibre.cooling_time(start, cooled, **plain) == pytest.approx(time / 10, rel=1e-4)


@pytest.mark.slow
def test_coarse_tables_of_many_airs_hold_to_a_hundredth():
    """What a map over temperature and humidity of the air has, against each of its places alone."""
    case, start = next(airs(4))
    case["setting_exponent"] = np.array([0.8, 2.0, 3.0])[:, None, None]
    many = case | dict(
        air_temperature=np.linspace(286.0, 302.0, 24), relative_humidity=np.linspace(0.2, 0.9, 24)[:, None]
    )
    lengths, progress = fibre.setting_length(start, **many), fibre.setting_progress(3.0, start, **many)
    for draw, row, column in np.random.default_rng(7).integers((3, 24, 24), size=(60, 3)):
        alone = case | dict(
            air_temperature=many["air_temperature"][column], relative_humidity=many["relative_humidity"][row, 0],
            setting_exponent=[0.8, 2.0, 3.0][draw],
        )  # fmt: skip
        assert lengths[draw, row, column] == pytest.approx(fibre.setting_length(start, **alone), rel=4e-3)
        assert progress[draw, row, column] == pytest.approx(
            fibre.setting_progress(3.0, start, **alone), rel=5e-3, abs=3e-3
        )


def test_a_thread_that_settles_above_its_gel_point_never_sets():
    case, start = next(airs(4))
    warm = case | dict(air_temperature=320.0, relative_humidity=0.9, gel_temperature=305.0)
    assert fibre.setting_length(start, **warm) == np.inf
    assert fibre.setting_progress(1e3, start, **warm) == 0.0
    plain = {name: value for name, value in warm.items() if name not in NO_GEL}
    assert fibre.cooling_time(start, 310.0, **plain) == np.inf
    assert fibre.cooling_time(310.0, start, **plain) == 0.0


def test_a_thread_much_slower_or_faster_than_the_formula_was_made_for_is_said():
    with pytest.warns(rk.ModelRangeWarning) as caught:
        fibre.thread_heat_transfer(1e-4, [0.1, 0.02])
    assert str(caught[0].message) == (
        "thread_heat_transfer: thread Reynolds number Re = 0.125 lies outside 0.2 to 200: the formula was made for 1 to 50 and is "
        "stretched far; measure how fast it cools or sets."
    )


# --- in the bath ----------------------------------------------------------------------------------------------------


def around(count):
    """Return faces from 0 to 200 radii, even in a thread of radius 1 and ever wider outside."""
    grow = 8.0  # e-foldings
    steps = np.expm1(grow * np.linspace(0, 1, 2 * count + 1)[1:])
    return np.append(even(count), 1 + 199 * steps / np.expm1(grow))


def bath_by_volumes(count):
    mean, middles = volumes(around(count), np.ones_like)
    thread = (middles < 1).astype(float)
    return lambda fourier: mean(fourier, thread, thread)


@pytest.mark.slow
def test_a_thread_and_its_bath_by_finite_volumes():
    random = np.random.default_rng(5)
    fourier = np.exp(random.uniform(np.log(1e-3), np.log(100.0), CASES))
    left = extrapolated(lambda count: bath_by_volumes(count)(fourier), 400)
    assert fibre.bath_temperature_left(fourier) == pytest.approx(left, rel=0, abs=1e-5)


@pytest.mark.slow
def test_setting_in_a_bath_by_summing_up():
    """The way in a bath on which a thread has set by finite volumes and plain sums; beyond Fo = 60 the tail is 0.3 % good."""
    random = np.random.default_rng(6)
    y = np.linspace(0.0, 1.0, 4001)
    solved = bath_by_volumes(500)
    for _ in range(CASES):
        start, bath = random.uniform(303, 335), random.uniform(275, 297)
        diameter, spread = np.exp(random.uniform(np.log(1e-4), np.log(1.5e-3))), 1.4e-7
        rule = dict(gel_temperature=random.uniform(bath + 4, 308), setting_exponent=random.uniform(0.8, 3))
        rule["setting_time"] = np.exp(random.uniform(-1, 3))
        thread = dict(diameter=diameter, thermal_diffusivity=spread)
        time = fibre.bath_length(start, bath, winding_speed=0.2, **thread, **rule) / 0.2
        seconds = diameter**2 / 4 / spread
        times = time * y**3
        temperature = bath + (start - bath) * np.append(1.0, solved(times[1:] / seconds))
        speed = (np.maximum(rule["gel_temperature"] - temperature, 0.0) / 10) ** rule["setting_exponent"] / rule[
            "setting_time"
        ]
        error = 1e-3 if time < 60 * seconds else 3e-3
        assert np.trapezoid(speed, times) == pytest.approx(1.0, rel=error)
        assert fibre.bath_progress(time, start, bath, **thread, **rule) == pytest.approx(1.0, rel=1e-9)


def test_a_thread_in_a_warm_bath_never_sets():
    rule = dict(gel_temperature=304.15, setting_time=6.5, diameter=3e-4, thermal_diffusivity=1.4e-7)
    assert fibre.bath_length(330.0, 305.0, winding_speed=0.2, **rule) == np.inf
    assert fibre.bath_progress(1e3, 330.0, 305.0, **rule) == 0.0


def test_a_needle_narrower_than_its_bore_is_told_in_millimetres():
    with pytest.raises(rk.DataError) as error:
        fibre.needle_time_constant(bore=0.84e-3, outer_diameter=0.5e-3, volumetric_heat=3.6e6)
    assert str(error.value) == (
        "needle_time_constant: outer_diameter = 0.5 mm is not above the bore of the needle, 0.84 mm; measure it outside, or check the "
        "unit of either."
    )
