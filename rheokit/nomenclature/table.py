"""The one table of quantities: all that is known of each, by its full name.

Docstrings, column headers, result tables, axis titles, fields, examples and doubts agree with it (tests say so). The symbols
are those of the rheology of pastes; note that a yield stress is written τ_y here because τ_0 is a wall stress in paste
extrusion.
"""

from ..found import Named
from .gels import GELS
from .quantity import ANY, SHARE, TEMPERATURES, Quantity

_ALL = {
    # flow laws
    "shear_rate": Quantity("γ̇", "1/s", "rate of shear", (0, 1e6)),
    "shear_stress": Quantity("τ", "Pa", "shear stress", (0, 1e7)),
    "viscosity": Quantity("η", "Pa·s", "shear stress over shear rate", (1e-4, 1e6)),
    "yield_stress": Quantity(
        "τ_y", "Pa", "dynamic yield stress in simple shear: the stress at which flow stops", (0, 1e5)
    ),
    "static_yield_stress": Quantity(
        "τ_ys", "Pa", "static yield stress in simple shear: the stress at which flow starts", (0, 3e5)
    ),
    "consistency": Quantity("K", "Pa·sⁿ", "stress above yield at 1 1/s", (1e-4, 1e6)),
    "flow_index": Quantity("n", "-", "slope of ln(τ - τ_y) against ln γ̇", (0.05, 1.5)),
    "plastic_viscosity": Quantity("μ_p", "Pa·s", "slope of stress against rate above yield", (1e-4, 1e5)),
    "final_viscosity": Quantity("η_∞", "Pa·s", "viscosity at high rates", (0, 1e5)),
    "zero_shear_viscosity": Quantity("η_0", "Pa·s", "viscosity at low rates", (1e-4, 1e8)),
    "critical_rate": Quantity("γ̇_c", "1/s", "rate at which the root term equals the yield stress", (1e-6, 1e6)),
    "time_constant": Quantity("λ", "s", "one over the rate at which the viscosity begins to fall", (1e-6, 1e6)),
    "transition": Quantity("a", "-", "sharpness of the bend where the viscosity begins to fall", (0.05, 20)),
    "stress_factor": Quantity("f", "-", "factor on every stress of a law", (0.01, 100)),
    "rate_factor": Quantity("a", "-", "factor on every rate of a law", (0.01, 100)),
    "activation_energy": Quantity("E_a", "J/mol", "activation energy of the shift of rates", (0, 2e5)),
    "age_exponent": Quantity("m", "-", "power of the age with which every stress goes", (-1, 1), ANY),
    # tubes, nozzles, extruder
    "wall_shear_stress": Quantity("τ_w", "Pa", "shear stress at the wall, Δp D/4L in a tube", (0, 1e7), column=3.0),
    "apparent_shear_rate": Quantity(
        "γ̇_a", "1/s", "32Q/πD³: the wall rate of a Newtonian fluid at the same flow", (0, 1e6)
    ),
    "wall_shear_rate": Quantity("γ̇_w", "1/s", "true shear rate at the wall", (0, 1e6)),
    "flow_rate": Quantity("Q", "m³/s", "volume flow", (0, 1e-4)),
    "mean_velocity": Quantity("U", "m/s", "flow over section", (0, 10)),
    "pressure_drop": Quantity("Δp", "Pa", "pressure lost over a length or a part", (0, 2e7)),
    "pressure": Quantity("p", "Pa", "gauge pressure", (0, 2e7), column=300.0),
    "diameter": Quantity("D", "m", "bore", (5e-5, 0.4), example="100 mm"),
    "inlet_diameter": Quantity("D_in", "m", "diameter at the wide end", (5e-5, 0.15)),
    "outlet_diameter": Quantity("D_out", "m", "diameter at the narrow end", (5e-5, 0.05)),
    "inlet_radius": Quantity("R_in", "m", "radius at the wide end", (2e-5, 0.1)),
    "outlet_radius": Quantity("R_out", "m", "radius at the narrow end", (2e-5, 0.1)),
    "length": Quantity("L", "m", "length along the flow", (1e-4, 2), example="20.0 mm"),
    "half_angle": Quantity("α", "rad", "angle between axis and wall of a cone", (0.01, 1.5708)),
    "barrel_diameter": Quantity("D_0", "m", "bore of the barrel", (1e-3, 0.15), example="26.70 ± 0.05 mm"),
    "fill_length": Quantity("L_f", "m", "length of barrel filled with paste", (0, 1), example="60 mm"),
    "plunger_friction": Quantity("F_f", "N", "force to move the plunger without paste", (0, 200), example="8 ± 1 N"),
    "plunger_force": Quantity("F", "N", "force on the plunger", (0, 2e4)),
    "plunger_speed": Quantity("v_p", "m/s", "speed of the plunger", (0, 0.1)),
    "barrel_drag": Quantity(
        "f_b",
        "-",
        "share of the no-slip wall stress that the barrel wall carries (0 full slip, 1 none)",
        SHARE,
        (0.0, 1.2),
        example="1",
    ),
    "end_correction": Quantity("e", "-", "end loss as a length of land in diameters (L/D)", (0, 200)),
    "slip_velocity": Quantity("V_s", "m/s", "velocity of the paste at the wall", (0, 10)),
    "slip_coefficient": Quantity("β", "m/(Pa·s)", "slip velocity per wall stress above the slip threshold", (0, 1e-3)),
    "slip_threshold": Quantity("τ_s", "Pa", "wall stress at which slip starts", (0, 1e5)),
    # drive, start and stop
    "drive_pressure": Quantity("p", "Pa", "gauge pressure at the regulator of a drive by air", (2e4, 2e6)),
    "hand_force": Quantity("F", "N", "force that is asked of a hand", (1, 150)),
    "lead": Quantity("l", "m", "travel of a screw's nut in one turn", (2e-4, 0.1)),
    "mean_diameter": Quantity("d_m", "m", "mean diameter of a thread", (1e-3, 0.1)),
    "thread_angle": Quantity("α_t", "rad", "half the angle between the flanks of a thread", (0, 0.79)),
    "efficiency": Quantity("η_s", "-", "share of the work that a screw passes on", (0.02, 1), SHARE),
    "gear_ratio": Quantity("G", "-", "turns of the motor to one of the screw", (0.05, 1e4)),
    "barrel_area": Quantity("A_0", "m²", "section of the barrel", (7e-7, 0.02)),
    "barrel_volume": Quantity("V_0", "m³", "volume of paste in the barrel", (0, 0.02)),
    "pressure_rating": Quantity("p_r", "Pa", "rating printed on the barrel", (1e4, 5e7)),
    "break_loose_friction": Quantity("F_b", "N", "peak friction of the plunger at the start", (0, 500)),
    "compliance": Quantity("C_s", "m³/Pa", "volume that barrel and plunger give way by per pressure", (0, 1e-10)),
    "gas_volume": Quantity("V_g", "m³", "trapped gas at the pressure of the air", (0, 0.01)),
    "atmospheric_pressure": Quantity("p_0", "Pa", "absolute pressure of the air", (5e4, 1.1e5)),
    # corrections of capillary readings
    "rest_pressure": Quantity(
        "Δp_r", "Pa", "pressure beside that of the wall of the land and the stated friction", ANY, ANY
    ),
    "curvature": Quantity("c", "-", "middle of a plot above its chord, over the value there", ANY, ANY),
    "local_slope": Quantity("n′", "-", "d ln τ_w / d ln γ̇_a at one reading", ANY, ANY),
    "rate_correction": Quantity("(3n′+1)/4n′", "-", "true over apparent shear rate at the wall", ANY, ANY),
    "apparent_flow_index": Quantity("n′", "-", "slope of ln τ_w against ln γ̇_a, of the straight line", ANY, ANY),
    "apparent_consistency": Quantity("K′", "Pa·sⁿ", "wall stress at an apparent rate of 1 1/s, of the straight line"),
    "slip_share": Quantity("s_V", "-", "share of the flow that slip carries", ANY, ANY, customary="%"),
    "bore_share": Quantity("u(D)/D", "-", "standard uncertainty of the bore as a share of it"),
    # bench tests
    "height": Quantity("H", "m", "height before slumping", (5e-5, 1), example="100 mm"),
    "top_diameter": Quantity("D_t", "m", "diameter at the top", (5e-3, 0.4), example="70 mm"),
    "bottom_diameter": Quantity("D_b", "m", "diameter at the foot", (5e-3, 0.4), example="100 mm"),
    "slump": Quantity("s", "m", "fall of the top", (0, 0.4)),
    "volume": Quantity("Ω", "m³", "volume of paste", (1e-7, 2e-2), example="5.0 mL"),
    "radius": Quantity("R", "m", "radius of the spread or squeezed paste", (2e-3, 0.5)),
    "force": Quantity("F", "N", "force", (0, 2e4), column=0.3, example="9.81 N"),
    "wall_friction": Quantity(
        "m_f",
        "-",
        "share of the yield stress that the plate surface carries (1 rough, 0 slippery)",
        SHARE,
        SHARE,
        example="0.9 ± 0.1",
    ),
    "wall_friction_uncertainty": Quantity("u(m_f)", "-", "standard uncertainty of the plate's wall friction", (0, 0.5)),
    "rim_tension": Quantity(
        "λ",
        "N/m",
        "coefficient of surface tension and contact angle at the rim of a spread",
        (0, 0.1),
        example="0.005 N/m",
    ),
    "apex_angle": Quantity("β", "rad", "full angle at the tip of a cone", (0.1, 3.1416), example="60 deg"),
    "penetration": Quantity("i", "m", "depth to which the cone falls", (0, 0.06)),
    "mass": Quantity("m", "kg", "mass", (1e-6, 20), example="60 g"),
    "bore": Quantity("D", "m", "bore of the nozzle", (5e-5, 0.010), example="2.00 ± 0.02 mm"),
    "torque": Quantity("M", "N·m", "torque", (0, 100)),
    "vane_diameter": Quantity("D_v", "m", "diameter of the vane", (2e-3, 0.2), example="20 mm"),
    "vane_height": Quantity("H_v", "m", "height of the vane", (2e-3, 0.2), example="40 mm"),
    "surface_tension": Quantity("γ", "N/m", "surface tension", (0, 0.1), spread=0.2, example="0.05 N/m"),
    "static_ratio": Quantity("r", "-", "static over dynamic yield stress", (0.7, 5), spread=0.3),
    "criterion_factor": Quantity("f_c", "-", "factor on every yield stress that is not read in simple shear"),
    "model_factor": Quantity("f_m", "-", "factor on the stress for the error of a test's own theory"),
    "bore_factor": Quantity("f_D", "-", "true bore over stated bore"),
    "batch_factor": Quantity("f_i", "-", "factor on every stress of one batch"),
    "record_factor": Quantity("f_j", "-", "factor on every stress of one record among others at other conditions"),
    "record_spread": Quantity("s_j", "-", "standard deviation of ln stress from record to record", (0, 1)),
    "lack_of_fit_factor": Quantity("f_l", "-", "factor on every stress for what the law leaves along the rate"),
    "run_spread": Quantity("s_r", "-", "standard deviation of ln stress from run to run of one record", (0, 1)),
    "batch_spread": Quantity("s_b", "-", "standard deviation of ln stress from batch to batch", (0, 1)),
    # specimen and reading
    "density": Quantity(
        "ρ", "kg/m³", "density of the paste with its air", (500, 3500), spread=0.01, example="1110 kg/m3"
    ),
    "air_content": Quantity(
        "ε_a", "-", "volume share of trapped air", (0, 0.2), SHARE, spread=0.3, customary="%", example="3 %"
    ),
    "water_content": Quantity("u", "-", "water over dry mass (dry basis)", (0, 20), example="51 %", percent=True),
    "wet_water_content": Quantity("x", "-", "water over total mass (wet basis)", SHARE),
    "temperature": Quantity("T", "K", "temperature", (253.15, 403.15), TEMPERATURES, example="21 °C"),
    "time": Quantity("t", "s", "time since this row's speed or pressure was set", (0, 1e7)),
    "stroke": Quantity("z", "m", "plunger travel since the barrel was full", (-1e-3, 1), ANY),
    "run_order": Quantity("#", "-", "order in which the rows were read", ANY, ANY),
    "run": Quantity("j", "-", "number of the run in which the row was read", ANY, ANY),
    "age": Quantity("t_a", "s", "time since mixing", (0, 3e6), example="12 h"),
    # shape after printing
    "section": Quantity("A", "m²", "section of a line", (0, 0.01)),
    "width": Quantity("w", "m", "width of a line over all", (5e-5, 0.2)),
    "print_speed": Quantity("v", "m/s", "speed of the nozzle over the part", (1e-4, 1)),
    "modulus": Quantity(
        "E", "Pa", "Young's modulus at small strain, three times the shear modulus", (500, 1e7), spread=0.35
    ),
    "grain_size": Quantity(
        "d_90", "m", "grain size that nine in ten by mass are smaller than", (1e-8, 0.01), spread=0.1
    ),
    "largest_grain": Quantity(
        "d_max", "m", "size of the largest grain, the longest dimension of fibres and flakes", (1e-8, 0.02)
    ),
    "drag_diameter": Quantity("d_32", "m", "surface-mean grain diameter, for drainage", (1e-8, 0.01), spread=0.1),
    "shrinkage_xy": Quantity(
        "S_xy", "-", "linear drying shrinkage in the layers, on the wet length", (0, 0.4), (-1.0, 1.0), spread=0.1
    ),
    "shrinkage_z": Quantity(
        "S_z", "-", "linear drying shrinkage across the layers, on the wet length", (0, 0.4), (-1.0, 1.0), spread=0.1
    ),
    "wall_width": Quantity("w", "m", "thickness of a wall", (2e-4, 0.1), example="2.0 mm"),
    "lean_factor": Quantity("f_lean", "-", "height at which real walls lean over the computed one", (0.3, 1.2)),
    "lean_height": Quantity("H_l", "m", "height at which a test wall leaned", (1e-3, 1)),
    "knock_down": Quantity("k_s", "-", "share of an ideal shell's buckling stress that a real one bears", (0.05, 1)),
    "build_up_rate": Quantity("A_t", "Pa/s", "growth of the static yield stress at rest", (0, 1000), spread=0.3),
    "build_up_time": Quantity("t_b", "s", "longest rest over which the growth was measured", (0, 1e6)),
    "rise_speed": Quantity("ż", "m/s", "speed at which a part grows", (0, 0.1)),
    "stack_factor": Quantity("k", "-", "stress at yield under a stack over the yield stress in shear", (1, 2.5)),
    "span": Quantity("L", "m", "bridge between two supports", (5e-4, 0.5)),
    "diffusivity": Quantity("D_e", "m²/s", "diffusivity of moisture in the paste", (1e-12, 1e-7), spread=0.8),
    "dry_density": Quantity("ρ_d", "kg/m³", "dry mass over wet volume", (50, 3500)),
    "skin_loss": Quantity(
        "Δu", "-", "fall of the water content at the surface that ends adhesion", (1e-3, 5), spread=0.3
    ),
    "porosity": Quantity("ε", "-", "volume share of liquid", (0.02, 0.99), SHARE),
    "grain_diameter": Quantity("d_32", "m", "surface-mean diameter of the grains", (1e-8, 0.01)),
    "liquid_viscosity": Quantity(
        "μ_l", "Pa·s", "viscosity of the liquid between the grains at low rate", (1e-4, 1e4), spread=0.5
    ),
    # drying and shrinkage
    "relative_humidity": Quantity("RH", "-", "vapour pressure in the air over that of saturation", SHARE, SHARE),
    "drying_flux": Quantity("j", "kg/(m²·s)", "water lost per area and time", (0, 0.01)),
    "convection": Quantity("h_c", "W/(m²·K)", "heat transfer by the air", (0.5, 200)),
    "radiation": Quantity("h_r", "W/(m²·K)", "heat transfer by radiation", (0, 20)),
    "saturation_pressure": Quantity("p_s", "Pa", "vapour pressure over water", (0, 1e6)),
    "vapour_density": Quantity("ρ_v", "kg/m³", "mass of vapour in a volume of air"),
    "latent_heat": Quantity("h_fg", "J/kg", "heat to evaporate water"),
    "surface_temperature": Quantity("T_s", "K", "temperature of a drying surface", ANY, TEMPERATURES),
    "area": Quantity("A", "m²", "area that dries or carries", (1e-6, 10)),
    "dry_mass": Quantity("m_d", "kg", "mass without water", (1e-6, 100)),
    "start_water": Quantity("u_0", "-", "water content at the start, dry basis", (0, 20), percent=True),
    "critical_water": Quantity(
        "u_cr", "-", "water content at which shrinkage and constant rate end, dry basis", (0, 20), percent=True
    ),
    "final_water": Quantity("u_f", "-", "water content wanted at the end, dry basis", (0, 20), percent=True),
    "equilibrium_water": Quantity("u_e", "-", "water content that the air leaves in the part, dry basis", (0, 1)),
    "wet_solid_fraction": Quantity("φ_w", "-", "volume share of solids in the wet paste", SHARE, SHARE),
    "dry_solid_fraction": Quantity("φ_d", "-", "volume share of solids in the dry part", SHARE, SHARE),
    "solid_density": Quantity("ρ_s", "kg/m³", "mean density of the solids themselves", (300, 20000)),
    "shrinkage": Quantity("S", "-", "linear shrinkage on the wet length", (-0.1, 0.5), (-1.0, 1.0)),
    "volume_shrinkage": Quantity("S_V", "-", "shrinkage of the volume on the wet volume", (-0.1, 0.95), (-1.0, 1.0)),
    "half_thickness": Quantity("b", "m", "half a wall that dries from both faces", (1e-4, 0.1)),
    "relative_uncertainty": Quantity("u_r", "-", "standard uncertainty over the value", (0, 0.5)),
    "confidence_level": Quantity("1-α", "-", "chance that an interval covers the truth", (0.5, 0.9999), SHARE),
    "fourier_number": Quantity("Fo", "-", "diffusivity times time over the square of half the thickness", (0, 100)),
    "remaining": Quantity("E", "-", "share of the removable water still there", SHARE),
    # recipe and water
    "moisture": Quantity(
        "x_i", "-", "water in an ingredient as weighed, over its total mass (wet basis)", (0, 0.5), SHARE
    ),
    "water_change": Quantity(
        "Δu", "-", "water content wanted less that there is, dry basis", (-20, 20), ANY, percent=True
    ),
    "water_slope": Quantity(
        "b", "-", "fall of ln yield stress with the water content, dry basis", (0.1, 100), spread=0.1
    ),
    # how it is printed
    "layer_height": Quantity("h", "m", "height of a layer", (5e-5, 0.05)),
    "layer_height_to_bore": Quantity("h/D", "-", "height of a layer over the bore", (0.1, 3), percent=True),
    "line_width": Quantity("w", "m", "width of a line", (5e-5, 0.1)),
    "line_width_to_bore": Quantity("w/D", "-", "width of a line over the bore", (0.3, 10), percent=True),
    "part_height": Quantity("H", "m", "height of the part", (1e-4, 1)),
    "ring_radius": Quantity("R", "m", "radius of a ring, to the middle of its wall", (5e-4, 1)),
    "path_length": Quantity("l_p", "m", "path of the nozzle in one layer", (1e-3, 100)),
    "longest_lag": Quantity("t_l", "s", "longest wait from the start of the drive to the flow", (0, 1e4)),
    "layer_height_error": Quantity("u(h)", "m", "standard deviation of the gap under the nozzle", (0, 2e-3)),
    "speed_error": Quantity("u(v)/v", "-", "relative standard deviation of the print speed", (0, 0.5)),
    "bore_error": Quantity("u(D)/D", "-", "relative standard deviation of the bore", (0, 0.5)),
    "bore_uncertainty": Quantity("u(D)/D", "-", "standard uncertainty of the bore as a share of it", (0, 0.3)),
    "plunger_friction_uncertainty": Quantity("u(F_f)", "N", "standard uncertainty of the plunger friction", (0, 100)),
    "barrel_drag_uncertainty": Quantity("u(f_b)", "-", "standard uncertainty of the barrel drag", (0, 1)),
    "model_error": Quantity("s_m", "-", "standard deviation of the ln of the stress for a test's own theory", (0, 2)),
    "speed_ratio": Quantity("U/v", "-", "mean speed in the bore over the print speed", (0.1, 10)),
    # masses, lengths and settings of single tests
    "load_mass": Quantity("m", "kg", "mass that loads a paste, with whatever carries it", (0, 200), example="1.00 kg"),
    "added_mass": Quantity("m", "kg", "mass put into what carries it, such as water into a bottle", (0, 200)),
    "carrier_mass": Quantity(
        "m", "kg", "mass of what carries a load: the empty bottle, a tray", (0, 100), example="45 g"
    ),
    "caught_mass": Quantity("m", "kg", "mass of paste caught", (0, 2)),
    "catch_time": Quantity("t", "s", "time over which paste was caught", (0.1, 1e5)),
    "ambient_pressure": Quantity("p_0", "Pa", "absolute pressure of the air", (5e4, 1.1e5)),
    "cup_volume": Quantity("V_c", "m³", "volume of a density cup", (1e-6, 2e-2), example="100.0 ± 0.5 mL"),
    "true_density": Quantity(
        "ρ_t", "kg/m³", "density of the paste without air", (800, 5000), example="1150 ± 15 kg/m3"
    ),
    "wet_length": Quantity("l_w", "m", "distance of marks on a wet part", (5e-3, 1)),
    "dry_length": Quantity("l_d", "m", "distance of marks on a dry part", (2e-3, 1)),
    "tare_mass": Quantity("m_t", "kg", "mass of an empty container", (0, 2)),
    "wet_mass": Quantity("m_w", "kg", "mass before drying", (1e-4, 5)),
    "aperture": Quantity("a", "m", "opening of a sieve", (0, 0.02)),
    "retained_mass": Quantity("m_r", "kg", "mass left on a sieve", (0, 20)),
    "friction": Quantity("f", "-", "coefficient of friction in a thread", (0, 1)),
    "collar_friction": Quantity("f_k", "-", "coefficient of friction in a collar", (0, 1)),
    "collar_diameter": Quantity("d_c", "m", "mean diameter of a collar", (0, 0.2)),
    "recipe_mass": Quantity("m", "kg", "mass in a recipe, of which only the shares count"),
    "share": Quantity("f", "-", "share of the set flow that comes out", SHARE, SHARE),
    "stiffness": Quantity("τ_y", "Pa", "yield stress, with consistency and modulus in proportion", (0, 1e5)),
    "taper": Quantity("α", "rad", "half angle of the last taper", (0.01, 1.5708)),
    # statistics
    "spread": Quantity("s", "-", "standard deviation of the ln of a quantity", (0, 3)),
    "coverage": Quantity("k", "-", "standard uncertainties to either side", (0.5, 5)),
    "probability": Quantity("P", "-", "chance that every limit holds", SHARE, SHARE),
}


QUANTITIES = Named("quantity of the nomenclature", _ALL | GELS)
"""Every quantity by its full name."""
