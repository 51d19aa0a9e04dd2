"""Torque, climb and efficiency of power screws.

Source     Wentzell, Machine Design, Examples 18.1 to 18.4, p. 399-405; Jindal, Machine Design, Example 16-1 p. 450;
           Shigley, Mechanical Engineering Design, Example 8-1.
Kind       published
Trust      S: Wentzell and Jindal as transcribed in worked-example companions, page not seen, the answers being the
           transcribers' own arithmetic (Jindal's says the book rounds otherwise). M: Shigley recalled from memory,
           inputs and answers, and recomputed.
Agreement  half a unit of the last printed place; the ball screw half a unit of its printed coefficient 0.177.
"""

import numpy as np
import pytest

from rheokit.machine.drives import ScrewDrive, lead_angle, lowering_torque, raising_torque, screw_efficiency
from rheokit.units import mm

INCH, POUND_FORCE = 25.4 * mm, 4.4482216152605
POUND_INCH = INCH * POUND_FORCE
LOAD = 5800 / 2 * POUND_FORCE  # 5800 lb on two screws
SQUARE = {"lead": INCH / 3, "mean_diameter": 1.354 * INCH, "friction": 0.15}


def test_square_thread():
    """Wentzell 18.1 and 18.2, S: 453.68 in lb, 4.48 degrees, 33.91 %, self-locking."""
    assert raising_torque(LOAD, **SQUARE) / POUND_INCH == pytest.approx(453.68, abs=5e-3)
    assert np.degrees(lead_angle(INCH / 3, 1.354 * INCH)) == pytest.approx(4.48, abs=5e-3)
    assert 100 * screw_efficiency(**SQUARE) == pytest.approx(33.91, abs=5e-3)
    assert lowering_torque(LOAD, **SQUARE) > 0


def test_acme_thread():
    """Wentzell 18.3, S: lead 1/4 in, mean diameter 1.375 in, half angle 14.5 degrees -> 428.13 in lb."""
    screw = {"lead": INCH / 4, "mean_diameter": 1.375 * INCH, "friction": 0.15, "thread_angle": np.radians(14.5)}
    assert raising_torque(LOAD, **screw) / POUND_INCH == pytest.approx(428.13, abs=5e-3)


def test_ball_screw():
    """Wentzell 18.4, S: T = 0.177 F L, 256.65 in lb: the form of a screw of efficiency 0.9, 1/(2π 0.9) = 0.1768."""
    screw = ScrewDrive(torque=1.0, lead=INCH / 2, efficiency=0.9)
    assert screw.torque_for(LOAD) / POUND_INCH == pytest.approx(256.65, rel=0.5e-3 / 0.177)


def test_collar():
    """Jindal 16-1, S: 20 kN, 30 mm thread of pitch 6 mm, friction 0.2; collar 8 to 16 mm radius, 0.15 -> 110.148."""
    torque = raising_torque(
        20e3, lead=6 * mm, mean_diameter=27 * mm, friction=0.2, collar_friction=0.15, collar_diameter=24 * mm
    )
    assert torque == pytest.approx(110.148, abs=5e-4)


def test_double_thread_with_collar():
    """Shigley 8-1, M: 32 mm, pitch 4 mm, two starts, friction 0.08, collar 40 mm, 6.4 kN -> 26.18, 9.77 N m, 0.311."""
    screw = {"lead": 8 * mm, "mean_diameter": 30 * mm, "friction": 0.08, "collar_friction": 0.08}
    screw["collar_diameter"] = 40 * mm
    assert raising_torque(6400.0, **screw) == pytest.approx(26.18, abs=5e-3)
    assert lowering_torque(6400.0, **screw) == pytest.approx(9.77, abs=5e-3)
    assert screw_efficiency(**screw) == pytest.approx(0.311, abs=5e-4)
