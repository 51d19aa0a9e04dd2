"""Drives: what each gives and holds, messages, cautions, stored energy, and what common practice says they can push."""

import numpy as np
import pytest
from scipy.integrate import quad

import rheokit as rk
from rheokit.machine.cautions import CAUTIONS
from rheokit.machine.drives import (
    AirDrive,
    HandDrive,
    ScrewDrive,
    lowering_torque,
    raising_torque,
    screw_efficiency,
    stored_energy,
)
from rheokit.units import ATMOSPHERE, kPa, mL, mm

pytestmark = pytest.mark.filterwarnings("ignore::rheokit.UnlikelyWarning")  # unit walls and other mathematics

PASTE = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
AREA = np.pi * (26.7 * mm) ** 2 / 4


def test_a_small_motor():
    """Kind: exact. 0.3 N·m on screws of 8 and 2 mm lead, efficiency 0.4 and 0.25: 94 and 236 N; 421 kPa in 26.7 mm."""
    fast, slow = (ScrewDrive(torque=0.3, lead=lead * mm, efficiency=e) for lead, e in ((8, 0.4), (2, 0.25)))
    assert fast.available_force(AREA) == pytest.approx(94.25, abs=5e-3)
    assert slow.available_force(AREA) == pytest.approx(235.62, abs=5e-3)
    assert slow.force / AREA / kPa == pytest.approx(420.8, abs=0.05)
    assert slow.torque_for(slow.force) == pytest.approx(0.3)
    geared = ScrewDrive(torque=0.1, lead=2 * mm, efficiency=0.25, gear_ratio=3.0)
    assert geared.force == pytest.approx(slow.force)
    assert geared.torque_for(slow.force) == pytest.approx(0.1)


def test_what_a_drive_holds():
    assert AirDrive(200 * kPa).available_force(AREA) == pytest.approx(200e3 * AREA)
    assert HandDrive().available_force(AREA) == 38.0
    assert [drive.controls for drive in (ScrewDrive, AirDrive, HandDrive)] == ["flow", "pressure", "pressure"]


def test_fields_may_be_arrays():
    drive = ScrewDrive(torque=0.3, lead=np.array([8, 2]) * mm, efficiency=np.array([0.4, 0.25]))
    assert drive.available_force(AREA) == pytest.approx([94.25, 235.62], abs=5e-3)
    assert AirDrive(np.array([1e5, 2e5])).available_force(AREA) == pytest.approx(np.array([1e5, 2e5]) * AREA)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (
            lambda: ScrewDrive(torque=0.3, lead=8, efficiency=0.4),
            "ScrewDrive: lead = 8 m is longer than any screw's (0.1 m). Lengths are in metres; did you mean 8*mm?",
        ),
        (
            lambda: ScrewDrive(torque=0.3, lead=8 * mm, efficiency=40),
            "ScrewDrive: efficiency = 40 must be from 0 to 1 (did you mean 40 %? That is 0.4).",
        ),
        (
            lambda: ScrewDrive(torque=0.0, lead=8 * mm, efficiency=0.4),
            "ScrewDrive: torque = 0 N·m must be a positive number.",
        ),
        (lambda: AirDrive(-1.0), "AirDrive: pressure = -1 Pa cannot be negative."),
        (lambda: HandDrive(np.nan), "HandDrive: force = nan N is no finite number; give it in N."),
        (
            lambda: raising_torque(1.0, lead=20 * mm, mean_diameter=8 * mm, friction=1.5),
            "raising_torque: friction 1.5 jams a thread that climbs 38.5°: no torque turns it. Check lead and "
            "friction.",
        ),
    ],
)
def test_messages(make, words):
    with pytest.raises(rk.DataError) as caught:
        make()
    assert str(caught.value) == words


@pytest.mark.parametrize("friction", [0.02, 0.15, 0.4])
def test_a_thread_is_an_inclined_plane(friction):
    """Kind: exact. F d_m/2 tan(φ ± λ), φ the angle of friction; without friction nothing is lost."""
    screw = {"lead": 8 * mm, "mean_diameter": 10 * mm}
    climb, slide = np.arctan(8 / (10 * np.pi)), np.arctan(friction)
    assert raising_torque(100.0, friction=friction, **screw) == pytest.approx(0.5 * np.tan(slide + climb))
    assert lowering_torque(100.0, friction=friction, **screw) == pytest.approx(0.5 * np.tan(slide - climb))
    assert screw_efficiency(friction=0.0, **screw) == pytest.approx(1.0)
    assert screw_efficiency(friction=friction, **screw) == pytest.approx(np.tan(climb) / np.tan(slide + climb))


def test_energy_in_compressed_gas():
    """Kind: independent. The work of expansion, by quadrature; 60 mL at 6 bar 45 J, 1 L at 3.5 bar 320 J."""
    volume, pressure = 60 * mL, 600 * kPa
    absolute = pressure + ATMOSPHERE
    end = volume * absolute / ATMOSPHERE
    work = quad(lambda v: absolute * volume / v - ATMOSPHERE, volume, end)[0]
    assert stored_energy(volume, pressure) == pytest.approx(work, rel=1e-9)
    assert stored_energy(volume, pressure) == pytest.approx(45, abs=0.5)  # the figure in the caution
    assert "about 45 J" in CAUTIONS["stored gas"]
    assert stored_energy(1e-3, 350 * kPa) == pytest.approx(320, abs=5)


def test_every_hazard_of_a_drive_has_its_caution():
    for drive in (ScrewDrive, AirDrive, HandDrive):
        for hazard in drive.hazards:
            assert "Your laboratory's own rules" in CAUTIONS[hazard]
    assert "stored gas" in AirDrive.hazards
    assert {"pinch", "stall"} <= set(ScrewDrive.hazards)
    assert rk.extruder.CAUTION == CAUTIONS["barrel"]


def test_common_practice_of_a_stiff_paste():
    """Common practice, no source: a fine tip from a screw-driven rated barrel works on a bench; a syringe on air never.

    Olive-stone paste (invented), bore 1.6 mm, layers of 1 mm at 15 mm/s, a small motor on a slow screw.
    """
    screw = ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25)
    rated = rk.Extruder(
        barrel_diameter=26.7 * mm,
        fill_length=60 * mm,
        plunger_friction=8.0,
        nozzle=rk.Nozzle(rk.Cylinder(diameter=1.6 * mm, length=12 * mm)),
        drive=screw,
        pressure_rating=1000 * kPa,
    )
    flow = ((1.9 - 1.0) * 1.0 + np.pi / 4) * mm**2 * 15 * mm
    assert rated.plunger_force(PASTE, flow) < 0.5 * screw.available_force(rated.area)
    assert rated.start_force(PASTE, static_yield_stress=800.0, break_loose_friction=16.0) < screw.force
    assert rated.pressure(PASTE, flow) < rated.pressure_limit
    syringe = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=60 * mm, nozzle=rated.nozzle, drive=AirDrive(75 * kPa))
    assert syringe.pressure_limit == 0
    assert syringe.pressure(PASTE, 0.1 * flow) > syringe.pressure_limit
