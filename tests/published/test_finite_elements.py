"""Converging flow against finite elements.

Source     data/converging_flow_fem.csv: 120 cases of creeping axisymmetric flow of Newtonian, power-law,
           Bingham and Herschel-Bulkley fluids through barrel, cone or step, and land, computed for this
           project.
Kind       independent
Trust      D: no print; held against the exact tube relation, conical Stokes flow and the power-law
           similarity solution in a cone. The cases' own estimated error is below 0.3 % of the excess.
Agreement  excess over the straight lengths 3 % rms and 10 % at most, total 1.6 % at most, the mean of the
           excess' error within 1 % (so that a shift of 2 % is seen); straight lengths and the shear flow of
           the cones 1e-6. The 13 abrupt cases alone are worse, 4.4 % rms and 1.7 % too high in the mean:
           their own limits of 5 % and 2 % say so openly.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import rheokit as rk

CASES = pd.read_csv(Path(__file__).parent / "data" / "converging_flow_fem.csv", comment="#")


def segments(case):
    """Return barrel, cone or none, land."""
    barrel = rk.Cylinder(diameter=case.D_barrel_m, length=case.L_barrel_m)
    land = rk.Cylinder(diameter=case.D_land_m, length=case.L_land_m)
    if case.L_cone_m == 0:
        return barrel, None, land
    return (
        barrel,
        rk.Cone(inlet_diameter=case.D_barrel_m, outlet_diameter=case.D_land_m, length=case.L_cone_m),
        land,
    )


@pytest.fixture(scope="module")
def errors():
    """Return a row a case: family, half angle, and the relative errors of excess, total, straight lengths
    and shear in the cone.
    """
    rows = []
    for case in CASES.itertuples():
        law = rk.HerschelBulkley(yield_stress=case.tau_y_Pa, consistency=case.K_Pa_s_n, flow_index=case.n)
        flow = case.Q_m3_per_s
        barrel, cone, land = segments(case)
        nozzle = rk.Nozzle(*(part for part in (barrel, cone, land) if part))
        total = nozzle.pressure_drop(law, flow, inlet_diameter=case.D_barrel_m)
        straight = barrel.pressure_drop(law, flow) + land.pressure_drop(law, flow)
        rows.append(
            {
                "family": case.family,
                "half_angle": case.half_angle_deg,
                "excess": (total - straight) / case.dp_excess_Pa - 1,
                "total": total / case.dp_total_Pa - 1,
                "straight": straight / (case.dp_total_Pa - case.dp_excess_Pa) - 1,
                "shear": cone.pressure_drop(law, flow) / case.dp_cone_lubrication_Pa - 1 if cone else np.nan,
            }
        )
    return pd.DataFrame(rows)


def rms(values):
    return float(np.sqrt(np.mean(np.square(values))))


def test_every_case_is_there(errors):
    assert errors.family.value_counts().to_dict() == {"a_cone": 91, "c_chain": 16, "b_abrupt": 13}


def test_excess_over_all_cases(errors):
    assert rms(errors.excess) < 0.03
    assert errors.excess.abs().max() < 0.10
    assert abs(errors.excess.mean()) < 0.01


@pytest.mark.parametrize(
    ("family", "limit", "bias"), [("a_cone", 0.03, 0.01), ("c_chain", 0.03, 0.01), ("b_abrupt", 0.05, 0.02)]
)
def test_excess_by_family(errors, family, limit, bias):
    excess = errors.excess[errors.family == family]
    assert rms(excess) < limit
    assert excess.abs().max() < 0.10
    assert abs(excess.mean()) < bias


@pytest.mark.parametrize(
    ("low", "high", "largest"),
    [(0, 20, 0.0395), (30, 45, 0.0635), (60, 60, 0.0685), (90, 90, 0.0915)],
)
def test_largest_error_of_the_excess_as_the_module_states_it(errors, low, high, largest):
    """3.9, 6.3, 6.8 and 9.1 % by angle, found over 360 cases of which these are a third."""
    assert errors.excess[errors.half_angle.between(low, high)].abs().max() < largest


@pytest.mark.parametrize("family", ["a_cone", "b_abrupt", "c_chain"])
def test_total(errors, family):
    total = errors.total[errors.family == family]
    assert total.abs().max() < 0.016
    assert total.abs().max() < 0.01  # seen: 0.9 %


def test_straight_lengths(errors):
    np.testing.assert_allclose(errors.straight, 0.0, atol=1e-6)


def test_shear_flow_of_the_cones(errors):
    shear = errors.shear.dropna()
    assert len(shear) == 103
    np.testing.assert_allclose(shear, 0.0, atol=1e-6)
