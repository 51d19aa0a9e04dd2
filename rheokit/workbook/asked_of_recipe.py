"""What a plan may say of a recipe, of how stiff a part of it stands and of its drying, and the rows of ingredients and readings."""

from .entry import Entry

DRY, WEIGHED = "dry masses", "masses as weighed from the bag"
DRY_BASIS, WET_BASIS = "dry basis u [-]", "wet basis x [%]"
READ_ON = {DRY_BASIS: (0.001, 20.0), WET_BASIS: (0.1, 95.0)}
"""Bounds of a water content that a yield stress was read at, by its basis and in the unit of that."""
TESTED, LEANED = "a test of the material", "a test wall that leaned"
STILL, FAN, PLATE = "still room air", "a fan", "a wet plate weighed beside it"
BOTH, ONE = "both faces", "one face"
CORRECTION, AGAIN = "what to add is not computed", "how much water dried parts want is not computed"
STAND, LASTS, DRIED = (
    "the height that stands is not computed",
    "how long it dries is not computed",
    "what it measures when dry is not computed",
)

ORIGIN = Entry("where these numbers come from")
RECIPE = {
    "origin": ORIGIN,
    "masses": Entry("the masses are", choices=(DRY, WEIGHED), without=DRY),
    "water_content": Entry(
        "water content u (dry basis)", "-", 0.001, 20.0, 1.045, without="nothing of the recipe is computed"
    ),
    "batch": Entry("paste to make", "g", 0.1, 1e6, 500.0, without="what to weigh is not computed"),
    "basis": Entry("water content on the", choices=(DRY_BASIS, WET_BASIS), without=DRY_BASIS),
    "reading_error": Entry(
        "standard uncertainty of a yield stress", "%", 0.1, 200.0, 15.0, without="the water law is not computed"
    ),
    "paste_there": Entry("paste there is", "g", 0.1, 1e6, 500.0, without=CORRECTION),
    "water_in_it": Entry("its water content u (dry basis)", "-", 0.001, 20.0, 0.81, without=CORRECTION),
    "yield_stress_now": Entry("yield stress now", "Pa", 1.0, 1e6, 1400.0, without=CORRECTION),
    "yield_stress_wanted": Entry("yield stress wanted", "Pa", 1.0, 1e6, 650.0, without=CORRECTION),
    "premix_moisture": Entry("moisture of the dry premix, wet basis", "%", 0.0, 90.0, 8.0, without=CORRECTION),
    "dried_parts": Entry("dried parts to use again", "g", 0.1, 1e6, 200.0, without=AGAIN),
    "moisture_left": Entry("moisture still in them, wet basis", "%", 0.0, 90.0, 8.0, without=AGAIN),
}
SHAPE = {
    "stiffness_from": Entry("Young's modulus from", choices=(TESTED, LEANED), without=TESTED),
    "modulus_water": Entry("modulus read at water content u (dry basis)", "-", 0.001, 20.0, 1.045, without="whether it leans is not computed"),
    "leaned": Entry("height at which the test wall leaned", "mm", 0.1, 1000.0, 14.5, without="whether it leans is not computed"),
    "rise_speed": Entry("rise speed of the part", "mm/min", 0.01, 1000.0, 6.0, without=STAND),
}  # fmt: skip
DRYING = {
    "length": Entry("length wanted when dry", "mm", 0.1, 2000.0, 60.0, without=DRIED),
    "width": Entry("width wanted when dry", "mm", 0.1, 2000.0, 60.0, without=DRIED),
    "height": Entry("height wanted when dry", "mm", 0.1, 2000.0, 30.0, without=DRIED),
    "shrinkage_error": Entry("standard uncertainty of a shrinkage, points", "%", 0.0, 20.0, 0.5, without=DRIED),
    "dry_solids": Entry("solids in the dry part φ_d, by volume", "-", 0.01, 1.0, 0.53, without=LASTS),
    "dried_by": Entry("drying by", choices=(STILL, FAN, PLATE), without=STILL),
    "faces": Entry("the wall dries from", choices=(BOTH, ONE), without=BOTH),
    "humidity": Entry("humidity of the room", "%", 5.0, 99.0, 50.0, without=LASTS),
    "temperature": Entry("temperature of the room", "°C", 1.0, 60.0, 22.0, without=LASTS),
    "plate_flux": Entry("water lost from the plate", "g/(m²·h)", 0.1, 5000.0, 60.0, without=LASTS),
    "water_left_by_air": Entry("water the air leaves in it u_e, dry basis", "-", 0.0, 5.0, 0.08, without=LASTS),
    "water_in_the_end": Entry("water wanted in the end u_f, dry basis", "-", 0.001, 10.0, 0.15, without=LASTS),
    "cracked": Entry(
        "crack index at which walls cracked, 0: not known", "-", 0.0, 1000.0, 0.0, without="the index is then for calibration alone"
    ),
}  # fmt: skip
ROWS = {
    ("recipe", "ingredient"): {
        "name": Entry("ingredient"),
        "mass": Entry("mass", "g", 0.001, 1e6, 100.0),
        "moisture": Entry("moisture", "%", 0.0, 95.0, 8.0),
        "density": Entry("density", "kg/m³", 100.0, 25000.0, 1350.0),
        "dissolves": Entry("dissolves?", choices=("yes", "no"), without="no"),
    },
    ("recipe", "reading"): {
        "water_content": Entry("water content", "-", 0.001, 95.0, 1.0),
        "yield_stress": Entry("yield stress", "Pa", 0.1, 1e6, 600.0),
    },
}
"""Rows of a table, by table and key: the columns of each."""
