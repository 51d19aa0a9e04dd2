"""The formula of a limit, as it is printed with its cases and constants, agrees with the verdict: what it leaves out would fail a job that stands.

Each condition is computed here from what stands in the printed formula and from the numbers of a case, without the code of the limit.
"""

import math

import numpy as np
import pytest
from test_appendix_sections import DATA

import rheokit as rk
from rheokit.appendix.study import Study
from rheokit.limits import LIMITS

G = 9.81  # m/s2


def strength(case):
    return case.paste.static_yield_stress


def growth(case):
    return case.paste.build_up_rate if case.job.path_length is not None else 0.0


def stack(case):
    """Kind: independent. By the printed condition at the height that is wanted."""
    k = 2 if case.job.shape == "long wall" else math.sqrt(3)
    risen = case.job.part_height / case.rise_speed if growth(case) else 0.0
    return case.paste.density * G * case.job.part_height <= k * (
        strength(case) + growth(case) * min(risen, case.paste.build_up_time)
    )


def layer_time(case):
    """Kind: independent. A least time only where the part is higher than what the paste carries as it is laid."""
    weight, seconds = case.paste.density * G, case.job.path_length / case.job.print_speed
    late = True
    if growth(case) and case.job.part_height and case.job.part_height > math.sqrt(3) * strength(case) / weight:
        late = seconds >= weight * case.job.layer_height / (math.sqrt(3) * growth(case))
    if case.job.drying_flux is None or case.paste.diffusivity is None:
        return late
    skin = (
        math.pi
        * case.paste.diffusivity
        * (case.paste.skin_loss * case.paste.dry_density / (2 * case.job.drying_flux)) ** 2
    )
    return late and seconds <= skin


def rates(case):
    """Kind: independent. The wall rate by the law; no least rate where the yield stress was read."""
    law, (least, most) = case.pressure_law, case.rate_range

    def at_wall(wide):
        return float(law.shear_rate(law.wall_shear_stress(32 * case.flow_rate / (math.pi * wide**3))))

    return at_wall(case.nominal_bore) <= 1.02 * most and (case.yield_read or at_wall(case.widest_wall) >= least / 1.02)


def clog(case):
    largest = case.paste.largest_grain
    return case.bore >= 5 * case.paste.grain_size and (largest is None or case.bore >= 3 * largest)


PRINTED = {
    "stack": (("k [τ_ys + A min(H/v, t_b)]", "2 for a long wall", "A = 0 where"), stack),
    "layer time": (("where H > √3 τ_ys/(ρ g)", "no least time"), layer_time),
    "rates read": (("no least rate where the yield stress was read", "a miss by 2 % counts as read"), rates),
    "clog": (("D ≥ k_c d_90, k_c = 5", "D ≥ 3 d_max where d_max is known"), clog),
    "rated pressure": (
        ("p and p_start(τ_ys) ≤ half the printed rating", "≤ 100 kPa"),
        lambda case: max(case.pressure, case.start_pressure) <= (case.extruder.pressure_rating or 2e5) / 2,
    ),
    "line holds": (
        ("max(ρ g h/√3, γ/w)",),
        lambda case: (
            strength(case)
            >= max(
                case.paste.density * G * case.layer_height / math.sqrt(3), case.paste.surface_tension / case.line_width
            )
        ),
    ),
    "draw ratio": (
        ("1 is the most of a law with a yield stress", "no most where D_B is not known"),
        lambda case: 1 <= case.draw_ratio <= (1 if case.has_strength else case.paste.break_ratio or math.inf),
    ),
}


@pytest.mark.parametrize("name", PRINTED)
def test_a_printed_formula_holds_its_cases_and_constants(name):
    for words in PRINTED[name][0]:
        assert words in LIMITS[name].formula, LIMITS[name].formula


@pytest.mark.parametrize(("name", "given"), [("clog", {"clog_factor": 4.3}), ("lean", {"knock_down": 0.27})])
def test_a_factor_that_is_given_stands_in_the_formula(name, given):
    assert f" = {next(iter(given.values()))}" in type(LIMITS[name])(**given).formula


@pytest.mark.slow
@pytest.mark.parametrize("name", ["olive-stone-paste", "porcelain-body", "agar-dope"])
def test_what_is_printed_does_not_contradict_the_verdict(name):
    """Best values: a hard limit keeps room besides, so that it may be broken where its condition holds, and never the other way."""
    study = Study(rk.Workbook.open(DATA / name))
    asked = rk.judge(study.case)
    judged = 0
    for limit, (_, holds) in PRINTED.items():
        if limit not in asked.index or asked.verdict[limit] not in ("inside", "outside the readings", "broken"):
            continue
        judged += 1
        found, inside = bool(np.all(holds(study.case))), asked.margin[limit] >= 0
        assert found or not inside, limit
        assert inside or not found or LIMITS[limit].hard, limit
    assert judged >= 2
