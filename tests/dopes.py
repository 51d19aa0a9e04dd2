"""An invented gelatin dope of 40 %, the needle it leaves and the way it is drawn: nobody measured them."""

from dataclasses import replace

import rheokit as rk
from rheokit.units import kPa, mm

LAW = rk.heated(rk.Newtonian, 333.15)(viscosity=3.0, activation_energy=45e3)
DOPE = rk.Paste(
    law=LAW, density=1127.0, heat_capacity=3020.0, gel_temperature=306.15, melt_temperature=309.15, setting_time=3.0,
    dry_section=0.448, break_ratio=15.0,
)  # fmt: skip
RIG = rk.Extruder(
    barrel_diameter=20.1 * mm, fill_length=60 * mm, plunger_friction=3.5, pressure_rating=800 * kPa,
    nozzle=rk.Nozzle(rk.Cylinder(diameter=0.84 * mm, length=12.7 * mm)), drive=rk.ScrewDrive(torque=0.3, lead=2 * mm, efficiency=0.25),
)  # fmt: skip
JOB = rk.FibreJob(
    throughput=10e-9, winding_speed=0.1426, gap=4 * mm, nozzle_temperature=311.15, bath_length=0.25, bath_temperature=283.15,
    dry_diameter=0.2 * mm, needle_outer_diameter=1.27 * mm,
)  # fmt: skip


def fibre_asked(of_paste=(), **of_job):
    """Return material, extruder and job, with changes of the paste and of the job."""
    return rk.Material(paste=replace(DOPE, **dict(of_paste)), batch_spread=0.1), RIG, replace(JOB, **of_job)
