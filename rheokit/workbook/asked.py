"""The one table of what a plan may say: each entry with its words, its unit, its bounds and an example.

The fields of the pages are made of it, and `plan.toml` is checked with it: one name a thing. Bounds and examples are in the
unit of the entry, which is the unit of its field.
"""

from ..part.printing import LONG, RING, STRAIGHT
from .asked_of_paste import PASTE, STANDS
from .asked_of_recipe import DRYING, ORIGIN, RECIPE, ROWS, SHAPE
from .entry import Entry

SCREW, AIR, HAND = "screw", "air", "hand"
PRINT, FIBRE = "print", "fibre"
HELD, LOOSE = "held on the drum", "loose"

NARROWS = "needed where the inlet is wider than the bore"
FORCE = "force and pressure are not computed"
FIT = {
    "law": Entry("flow law"),
    "slowest_rate": Entry("slowest rate of use", "1/s", 1e-4, 1e6, 10.0),
    "fastest_rate": Entry("fastest rate of use", "1/s", 1e-4, 1e6, 100.0),
}
MACHINE = {
    "origin": ORIGIN,
    "barrel_diameter": Entry("bore of the barrel D_0", "mm", 1.0, 150.0, 26.7, without=FORCE),
    "fill_length": Entry("filled barrel length L_f", "mm", 0.0, 1000.0, 60.0, without=FORCE),
    "plunger_friction": Entry("plunger friction F_f", "N", 0.0, 1000.0, 8.0, without="the force is then without the friction"),
    "break_loose_friction": Entry("break-loose friction F_b", "N", 0.0, 1000.0, 12.0, without="the force to start is then a lower bound"),
    "barrel_drag": Entry("drag of the barrel wall, 1: no slip", "-", 0.0, 1.0, 1.0, without="taken as 1, the most"),
    "compliance": Entry("barrel and plunger give way by C_s", "mm³/kPa", 0.0, 1e4, 1.0, without="lag and ooze are then lower bounds"),
    "pressure_rating": Entry("rating printed on the barrel p_r", "kPa", 1.0, 1e5, 1000.0, or_none=True, without="judged as a barrel without a rating"),
}  # fmt: skip
NOZZLE = {
    "bore": Entry("bore at the tip D", "mm", 0.05, 50.0, 1.6, without=FORCE, by_gauge=True),
    "land_length": Entry("straight land L", "mm", 0.1, 500.0, 8.0, or_0=True, without=FORCE),
    "inlet_diameter": Entry("inlet of the taper D_in", "mm", 0.05, 150.0, 4.0, without="needed where there is a taper"),
    "taper_length": Entry("length of the taper", "mm", 0.1, 500.0, 10.0, or_0=True, without=f"{NARROWS}, or its half angle; 0: no taper"),
    "taper_half_angle": Entry("half angle of the taper α", "°", 0.5, 90.0, 7.0, without=f"{NARROWS}, or its length"),
    "outer_diameter": Entry("outer diameter of the needle d_o", "mm", 0.1, 20.0, 1.27, without="what a bare needle does is not computed"),
}  # fmt: skip
DRIVE = {
    "kind": Entry("drive", choices=(SCREW, AIR, HAND), without="what the drive can do is not judged"),
    "torque": Entry("torque of the motor M", "N·m", 0.001, 1000.0, 0.3, without="the force of the drive is not judged"),
    "lead": Entry("lead of the screw l", "mm", 0.1, 100.0, 2.0, without="the force of the drive is not judged"),
    "efficiency": Entry(
        "efficiency of the screw η_s", "-", 0.01, 1.0, 0.25, without="the force of the drive is not judged"
    ),
    "pressure": Entry(
        "pressure at the regulator", "kPa", 1.0, 5000.0, 200.0, without="the force of the drive is not judged"
    ),
    "force": Entry("most asked of the hand", "N", 1.0, 1000.0, 38.0, without="38 N, as far as most hands go for long"),
}
JOB = {"kind": Entry("what is made", choices=(PRINT, FIBRE)), "origin": ORIGIN}
PRINT_JOB = {
    "print_speed": Entry("print speed v", "mm/s", 0.05, 1000.0, 15.0, without="no flow is known, so that no force is computed"),
    "layer_height": Entry("layer height h", "mm", 0.01, 50.0, 1.0, without="needed, or its share of the bore"),
    "layer_height_to_bore": Entry("layer height over the bore", "-", 0.05, 5.0, 0.6, without="the layer height is then given in mm"),
    "line_width": Entry("line width w", "mm", 0.01, 100.0, 2.0, without="needed, or its share of the bore"),
    "line_width_to_bore": Entry("line width over the bore", "-", 0.1, 10.0, 1.2, without="the line width is then given in mm"),
    "part_height": Entry("part height H", "mm", 0.1, 2000.0, 15.0, without=STANDS),
    "wall_width": Entry("wall width w", "mm", 0.05, 500.0, 2.0, without="one line wide"),
    "shape": Entry("shape of the wall", choices=(STRAIGHT, LONG, RING), without=STRAIGHT),
    "ring_radius": Entry("radius of the ring R", "mm", 0.5, 500.0, 25.0, without="needed for a ring"),
    "path_length": Entry("path of one layer", "mm", 1.0, 1e5, 200.0, without="the time of a layer is not judged"),
    "span": Entry("longest bridge", "mm", 0.1, 1000.0, 8.0, without="bridges are not judged"),
    "drying_flux": Entry("drying while it is printed", "g/(m²·h)", 0.1, 5000.0, 60.0, without="cracks are not judged"),
    "longest_lag": Entry("longest lag allowed", "s", 0.001, 1e5, 1.0, without="the lag is not judged"),
    "barrel_temperature": Entry("barrel temperature T_b", "°C", 0.0, 95.0, 22.0, without="as warm as the readings"),
    "nozzle_temperature": Entry("nozzle temperature T_n", "°C", 0.0, 95.0, 22.0, without="not heated"),
    "layer_height_error": Entry("error of the layer height, standard deviation", "mm", 1e-4, 10.0, 0.1, or_0=True, without="0.1 mm, usual"),
    "speed_error": Entry("error of the speed, standard deviation", "%", 0.01, 50.0, 2.0, or_0=True, without="2 %, usual"),
    "bore_error": Entry("error of the bore, standard deviation", "%", 0.01, 50.0, 1.0, or_0=True, without="1 %, usual"),
    "temperature_error": Entry("error of the temperature, standard deviation", "K", 0.01, 20.0, 1.0, or_0=True, without="1 K, usual"),
}  # fmt: skip
WOUND = "nothing of the fibre is computed"
FIBRE_JOB = {
    "throughput": Entry("throughput Q", "mm³/s", 0.1, 1000.0, 10.0, without=WOUND),
    "winding_speed": Entry("winding speed v_w", "mm/s", 1.0, 2000.0, 142.0, without=WOUND),
    "gap": Entry("gap in the air L_g", "mm", 0.1, 500.0, 3.0, without=WOUND),
    "barrel_temperature": Entry("barrel temperature T_b", "°C", 10.0, 95.0, 60.0, without=WOUND),
    "nozzle_temperature": Entry("nozzle temperature T_n", "°C", 0.0, 95.0, 42.0, or_none=True, without="it counts as a bare needle"),
    "pause": Entry("the flow pauses for t_p", "s", 0.1, 1e5, 60.0, without="not asked"),
    "air_temperature": Entry("air temperature T_a", "°C", 0.0, 45.0, 22.0, without="22 °C, usual"),
    "relative_humidity": Entry("relative humidity RH", "%", 1.0, 100.0, 50.0, without="50 %, usual"),
    "draught": Entry("draught across the fibre", "m/s", 0.01, 5.0, 0.05, or_0=True, without="0, the safe side"),
    "bath_length": Entry("length of the bath", "mm", 1.0, 2e4, 250.0, or_0=True, without="none"),
    "bath_temperature": Entry("bath temperature T_l", "°C", -5.0, 40.0, 10.0, without="needed where there is a bath"),
    "dry_diameter": Entry("dry diameter that is wanted d_d", "mm", 0.005, 5.0, 0.2, without="how fast to wind is not computed"),
    "dry_diameter_tolerance": Entry("the dry diameter may be missed by", "%", 0.1, 90.0, 10.0, without="10 %"),
    "drum_diameter": Entry("diameter of the drum", "mm", 2.0, 2000.0, 60.0, without="turns of the drum are not said"),
    "held": Entry("the fibre dries", choices=(HELD, LOOSE), without=HELD),
    "longest_lag": Entry("longest lag allowed", "s", 0.001, 1e5, 1.0, without="the lag is not judged"),
    "temperature_error": Entry("error of the temperature, standard deviation", "K", 0.01, 20.0, 1.0, or_0=True, without="1 K, usual"),
    "flow_error": Entry("error of the flow, standard deviation", "%", 0.01, 50.0, 3.0, or_0=True, without="3 %, usual"),
    "speed_error": Entry("error of the speed, standard deviation", "%", 0.01, 50.0, 1.0, or_0=True, without="1 %, usual"),
    "bore_error": Entry("error of the bore, standard deviation", "%", 0.01, 50.0, 1.0, or_0=True, without="1 %, usual"),
}  # fmt: skip
PROPERTIES = "properties"
"""The table of what is assumed of the paste: NAME = {value, spread, origin}."""
ASKED = {
    "fit": FIT, "machine": MACHINE, "nozzle": NOZZLE, "drive": DRIVE, "job": JOB, "print": PRINT_JOB, "fibre": FIBRE_JOB,
    PROPERTIES: PASTE, "recipe": RECIPE, "shape": SHAPE, "drying": DRYING,
}  # fmt: skip
"""Every entry by table and key."""
LISTS = {("fit", "leave_out"): "tests that are not fitted, by their labels"}
"""Keys that hold a list of texts."""
FREE = "page"
"""The table of what else is chosen on a page: ``[page.region]`` and so on hold texts that no other page reads."""
__all__ = ["ASKED", "FREE", "LISTS", "PROPERTIES", "ROWS", "Entry"]
