"""What a plan may say of the paste itself, beside its readings: the properties that a page asks for, under the names of `Paste`."""

from .entry import Entry

STANDS = "whether it stands is not judged"
CLOGS, DRAINS, CRACKS = (
    "whether grains block the bore is not judged",
    "whether it drains is not judged",
    "cracks are not judged",
)
SETS = "whether and when it sets is not judged"

PASTE = {
    "static_ratio": Entry("static over dynamic yield stress r", "-", 1.0, 20.0, 1.3, without="taken as 1.3; pastes have 1 to 2.3"),
    "air_content": Entry("air content ε_a", "%", 0.0, 60.0, 3.0, without="lag and ooze are not computed; spoon-mixed usually 3 to 8"),
    "density": Entry("density with its air ρ", "kg/m³", 300.0, 5000.0, 1110.0, without=STANDS),
    "modulus": Entry("Young's modulus E", "kPa", 0.01, 1e5, 25.0, without="whether it leans is not judged"),
    "build_up_rate": Entry("growth of the static yield stress A_t", "Pa/s", 0.0, 100.0, 0.15, without="taken as 0, the safe side"),
    "build_up_time": Entry("longest rest it was measured over t_b", "min", 0.0, 10000.0, 10.0, without="taken as 0: no growth"),
    "water_content": Entry("water content u (dry basis), of the paste that was tested", "-", 0.001, 20.0, 1.045, without="its water cannot be moved"),
    "water_slope": Entry("fall of ln yield stress with the water b", "-", 0.1, 100.0, 3.2, without="its water cannot be moved; notebook 4 reads it"),
    "grain_size": Entry("grain size d_90", "µm", 0.01, 10000.0, 180.0, without=CLOGS),
    "largest_grain": Entry("largest grain d_max", "µm", 0.01, 20000.0, 250.0, without="judged by d_90 alone"),
    "shrinkage_xy": Entry("shrinkage in plane S_xy", "%", 0.0, 80.0, 8.0, without="what it measures when dry is not computed; pastes usually 6 to 15"),
    "shrinkage_z": Entry("shrinkage in height S_z", "%", 0.0, 80.0, 11.0, without="what it measures when dry is not computed"),
    "diffusivity": Entry("diffusivity of the water D_e", "10⁻¹⁰ m²/s", 0.01, 1000.0, 3.0, without=CRACKS),
    "dry_density": Entry("dry mass over wet volume ρ_d", "kg/m³", 50.0, 5000.0, 520.0, without=CRACKS),
    "porosity": Entry("liquid by volume ε", "%", 2.0, 99.0, 60.0, without=DRAINS),
    "drag_diameter": Entry("mean grain diameter d_32", "µm", 0.01, 10000.0, 60.0, without=DRAINS),
    "liquid_viscosity": Entry("viscosity of the liquid μ_l", "Pa·s", 1e-4, 1e4, 2.0, without=DRAINS),
    "gel_temperature": Entry("gel point T_gel", "°C", 1.0, 99.0, 33.0, without=SETS),
    "melt_temperature": Entry("melting point T_m", "°C", 1.0, 99.0, 36.0, without="whether a set gel melts again is not judged"),
    "setting_time": Entry("time to set 10 K below the gel point t_10", "s", 0.05, 1e5, 5.0, without=SETS),
    "heat_capacity": Entry("heat capacity c", "J/(kg·K)", 800.0, 4500.0, 3000.0, without="how it cools in the air is not computed"),
    "break_ratio": Entry("draw ratio at which it breaks D_B", "-", 1.0, 1000.0, 15.0, without="whether it breaks is not judged"),
    "dry_section": Entry("section when dry over wet φ_f", "-", 0.005, 1.0, 0.4, without="the dry diameter is not computed"),
}  # fmt: skip
"""By name; a property that stands in a plan and not here is taken as it is, but no page asks for it."""
OF_PRINT = (
    "static_ratio", "air_content", "density", "modulus", "build_up_rate", "build_up_time", "water_content", "water_slope", "grain_size",
    "largest_grain", "diffusivity", "dry_density", "porosity", "drag_diameter", "liquid_viscosity",
)  # fmt: skip
"""What a print asks of its paste."""
OF_FIBRE = (
    "density", "gel_temperature", "melt_temperature", "setting_time", "heat_capacity", "break_ratio", "dry_section", "grain_size", "largest_grain",
)  # fmt: skip
"""What a fibre asks of its gel."""
