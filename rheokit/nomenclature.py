"""The one table of quantities: name, symbol, unit, meaning.

Docstrings, column headers, result tables and axis titles agree with it (tests say so). The symbols are those of the
rheology of pastes; note that a yield stress is written τ_y here because τ_0 is a wall stress in paste extrusion.
"""

from typing import NamedTuple


class Quantity(NamedTuple):
    """One named quantity: its symbol, its SI unit as text, and what it means."""

    symbol: str
    unit: str
    meaning: str


QUANTITIES = {
    # flow laws
    "shear_rate": Quantity("γ̇", "1/s", "rate of shear"),
    "shear_stress": Quantity("τ", "Pa", "shear stress"),
    "viscosity": Quantity("η", "Pa·s", "shear stress over shear rate"),
    "yield_stress": Quantity("τ_y", "Pa", "dynamic yield stress in simple shear: the stress at which flow stops"),
    "static_yield_stress": Quantity(
        "τ_ys", "Pa", "static yield stress in simple shear: the stress at which flow starts"
    ),
    "consistency": Quantity("K", "Pa·sⁿ", "stress above yield at 1 1/s"),
    "flow_index": Quantity("n", "-", "slope of ln(τ - τ_y) against ln γ̇"),
    "plastic_viscosity": Quantity("μ_p", "Pa·s", "slope of stress against rate above yield"),
    "stress_factor": Quantity("f", "-", "factor on every stress of a law"),
    "rate_factor": Quantity("a", "-", "factor on every rate of a law"),
    # tubes, nozzles, extruder
    "wall_shear_stress": Quantity("τ_w", "Pa", "shear stress at the wall, Δp D/4L in a tube"),
    "apparent_shear_rate": Quantity("γ̇_a", "1/s", "32Q/πD³: the wall rate of a Newtonian fluid at the same flow"),
    "wall_shear_rate": Quantity("γ̇_w", "1/s", "true shear rate at the wall"),
    "flow_rate": Quantity("Q", "m³/s", "volume flow"),
    "mean_velocity": Quantity("U", "m/s", "flow over section"),
    "pressure_drop": Quantity("Δp", "Pa", "pressure lost over a length or a part"),
    "pressure": Quantity("p", "Pa", "gauge pressure"),
    "diameter": Quantity("D", "m", "bore"),
    "inlet_diameter": Quantity("D_in", "m", "diameter at the wide end"),
    "outlet_diameter": Quantity("D_out", "m", "diameter at the narrow end"),
    "inlet_radius": Quantity("R_in", "m", "radius at the wide end"),
    "outlet_radius": Quantity("R_out", "m", "radius at the narrow end"),
    "length": Quantity("L", "m", "length along the flow"),
    "half_angle": Quantity("α", "rad", "angle between axis and wall of a cone"),
    "barrel_diameter": Quantity("D_0", "m", "bore of the barrel"),
    "fill_length": Quantity("L_f", "m", "length of barrel filled with paste"),
    "plunger_friction": Quantity("F_f", "N", "force to move the plunger without paste"),
    "plunger_force": Quantity("F", "N", "force on the plunger"),
    "plunger_speed": Quantity("v_p", "m/s", "speed of the plunger"),
    "barrel_drag": Quantity(
        "f_b", "-", "share of the no-slip wall stress that the barrel wall carries (0 full slip, 1 none)"
    ),
    "end_correction": Quantity("e", "-", "end loss as a length of land in diameters (L/D)"),
    "slip_velocity": Quantity("V_s", "m/s", "velocity of the paste at the wall"),
    "slip_coefficient": Quantity("β", "m/(Pa·s)", "slip velocity per wall stress above the slip threshold"),
    "slip_threshold": Quantity("τ_s", "Pa", "wall stress at which slip starts"),
    # drive, start and stop
    "lead": Quantity("l", "m", "travel of a screw's nut in one turn"),
    "mean_diameter": Quantity("d_m", "m", "mean diameter of a thread"),
    "thread_angle": Quantity("α_t", "rad", "half the angle between the flanks of a thread"),
    "efficiency": Quantity("η_s", "-", "share of the work that a screw passes on"),
    "gear_ratio": Quantity("G", "-", "turns of the motor to one of the screw"),
    "barrel_area": Quantity("A_0", "m²", "section of the barrel"),
    "pressure_rating": Quantity("p_r", "Pa", "rating printed on the barrel"),
    "break_loose_friction": Quantity("F_b", "N", "peak friction of the plunger at the start"),
    "compliance": Quantity("C_s", "m³/Pa", "volume that barrel and plunger give way by per pressure"),
    "gas_volume": Quantity("V_g", "m³", "trapped gas at the pressure of the air"),
    "atmospheric_pressure": Quantity("p_0", "Pa", "absolute pressure of the air"),
    # corrections of capillary readings
    "rest_pressure": Quantity("Δp_r", "Pa", "pressure beside that of the wall of the land and the stated friction"),
    "curvature": Quantity("c", "-", "middle of a plot above its chord, over the value there"),
    "local_slope": Quantity("n′", "-", "d ln τ_w / d ln γ̇_a at one reading"),
    "rate_correction": Quantity("(3n′+1)/4n′", "-", "true over apparent shear rate at the wall"),
    "apparent_flow_index": Quantity("n′", "-", "slope of ln τ_w against ln γ̇_a, of the straight line"),
    "apparent_consistency": Quantity("K′", "Pa·sⁿ", "wall stress at an apparent rate of 1 1/s, of the straight line"),
    "slip_share": Quantity("s_V", "-", "share of the flow that slip carries"),
    "bore_share": Quantity("u(D)/D", "-", "standard uncertainty of the bore as a share of it"),
    # bench tests
    "height": Quantity("H", "m", "height before slumping"),
    "top_diameter": Quantity("D_t", "m", "diameter at the top"),
    "bottom_diameter": Quantity("D_b", "m", "diameter at the foot"),
    "slump": Quantity("s", "m", "fall of the top"),
    "volume": Quantity("Ω", "m³", "volume of paste"),
    "radius": Quantity("R", "m", "radius of the spread or squeezed paste"),
    "force": Quantity("F", "N", "force read or set"),
    "wall_friction": Quantity(
        "m_f", "-", "share of the yield stress that the plate surface carries (1 rough, 0 slippery)"
    ),
    "wall_friction_uncertainty": Quantity("u(m_f)", "-", "standard uncertainty of the plate's wall friction"),
    "rim_tension": Quantity("λ", "N/m", "coefficient of surface tension and contact angle at the rim of a spread"),
    "apex_angle": Quantity("β", "rad", "full angle at the tip of a cone"),
    "penetration": Quantity("i", "m", "depth to which the cone falls"),
    "mass": Quantity("m", "kg", "mass"),
    "bore": Quantity("D", "m", "bore of the nozzle"),
    "torque": Quantity("M", "N·m", "torque"),
    "vane_diameter": Quantity("D_v", "m", "diameter of the vane"),
    "vane_height": Quantity("H_v", "m", "height of the vane"),
    "surface_tension": Quantity("γ", "N/m", "surface tension"),
    "static_ratio": Quantity("r", "-", "static over dynamic yield stress"),
    "criterion_factor": Quantity("f_c", "-", "factor on every yield stress that is not read in simple shear"),
    "model_factor": Quantity("f_m", "-", "factor on the stress for the error of a test's own theory"),
    "bore_factor": Quantity("f_D", "-", "true bore over stated bore"),
    "batch_factor": Quantity("f_b", "-", "factor on every stress of one batch"),
    "batch_spread": Quantity("s_b", "-", "standard deviation of ln stress from batch to batch"),
    # specimen and reading
    "density": Quantity("ρ", "kg/m³", "density of the paste with its air"),
    "air_content": Quantity("ε_a", "-", "volume share of trapped air"),
    "water_content": Quantity("u", "-", "water over dry mass (dry basis)"),
    "wet_water_content": Quantity("x", "-", "water over total mass (wet basis)"),
    "temperature": Quantity("T", "K", "temperature"),
    "time": Quantity("t", "s", "time since this row's speed or pressure was set"),
    "stroke": Quantity("z", "m", "plunger travel since the barrel was full"),
    "run_order": Quantity("#", "-", "order in which the rows were read"),
    "age": Quantity("t_a", "s", "time since mixing"),
    # shape after printing
    "section": Quantity("A", "m²", "section of a line"),
    "width": Quantity("w", "m", "width of a line over all"),
    "print_speed": Quantity("v", "m/s", "speed of the nozzle over the part"),
    "modulus": Quantity("E", "Pa", "Young's modulus at small strain, three times the shear modulus"),
    "grain_size": Quantity("d_90", "m", "grain size that nine in ten by mass are smaller than"),
    "largest_grain": Quantity("d_max", "m", "size of the largest grain, the longest dimension of fibres and flakes"),
    "drag_diameter": Quantity("d_32", "m", "surface-mean grain diameter, for drainage"),
    "shrinkage_xy": Quantity("S_xy", "-", "linear drying shrinkage in the layers, on the wet length"),
    "shrinkage_z": Quantity("S_z", "-", "linear drying shrinkage across the layers, on the wet length"),
    "wall_width": Quantity("w", "m", "thickness of a wall"),
    "lean_factor": Quantity("f_lean", "-", "height at which real walls lean over the computed one"),
    "lean_height": Quantity("H_l", "m", "height at which a test wall leaned"),
    "knock_down": Quantity("k_s", "-", "share of an ideal shell's buckling stress that a real one bears"),
    "build_up_rate": Quantity("A_t", "Pa/s", "growth of the static yield stress at rest"),
    "build_up_time": Quantity("t_b", "s", "longest rest over which the growth was measured"),
    "rise_speed": Quantity("ż", "m/s", "speed at which a part grows"),
    "stack_factor": Quantity("k", "-", "stress at yield under a stack over the yield stress in shear"),
    "span": Quantity("L", "m", "bridge between two supports"),
    "diffusivity": Quantity("D_e", "m²/s", "diffusivity of moisture in the paste"),
    "dry_density": Quantity("ρ_d", "kg/m³", "dry mass over wet volume"),
    "skin_loss": Quantity("Δu", "-", "fall of the water content at the surface that ends adhesion"),
    "porosity": Quantity("ε", "-", "volume share of liquid"),
    "grain_diameter": Quantity("d_32", "m", "surface-mean diameter of the grains"),
    "liquid_viscosity": Quantity("μ_l", "Pa·s", "viscosity of the liquid between the grains at low rate"),
    # drying and shrinkage
    "relative_humidity": Quantity("RH", "-", "vapour pressure in the air over that of saturation"),
    "drying_flux": Quantity("j", "kg/(m²·s)", "water lost per area and time"),
    "convection": Quantity("h_c", "W/(m²·K)", "heat transfer by the air"),
    "radiation": Quantity("h_r", "W/(m²·K)", "heat transfer by radiation"),
    "saturation_pressure": Quantity("p_s", "Pa", "vapour pressure over water"),
    "vapour_density": Quantity("ρ_v", "kg/m³", "mass of vapour in a volume of air"),
    "latent_heat": Quantity("h_fg", "J/kg", "heat to evaporate water"),
    "surface_temperature": Quantity("T_s", "K", "temperature of a drying surface"),
    "area": Quantity("A", "m²", "area that dries or carries"),
    "dry_mass": Quantity("m_d", "kg", "mass without water"),
    "start_water": Quantity("u_0", "-", "water content at the start, dry basis"),
    "critical_water": Quantity("u_cr", "-", "water content at which shrinkage and constant rate end, dry basis"),
    "final_water": Quantity("u_f", "-", "water content wanted at the end, dry basis"),
    "equilibrium_water": Quantity("u_e", "-", "water content that the air leaves in the part, dry basis"),
    "wet_solid_fraction": Quantity("φ_w", "-", "volume share of solids in the wet paste"),
    "dry_solid_fraction": Quantity("φ_d", "-", "volume share of solids in the dry part"),
    "solid_density": Quantity("ρ_s", "kg/m³", "mean density of the solids themselves"),
    "shrinkage": Quantity("S", "-", "linear shrinkage on the wet length"),
    "volume_shrinkage": Quantity("S_V", "-", "shrinkage of the volume on the wet volume"),
    "half_thickness": Quantity("b", "m", "half a wall that dries from both faces"),
    "relative_uncertainty": Quantity("u_r", "-", "standard uncertainty over the value"),
    "confidence_level": Quantity("1-α", "-", "chance that an interval covers the truth"),
    "fourier_number": Quantity("Fo", "-", "diffusivity times time over the square of half the thickness"),
    "remaining": Quantity("E", "-", "share of the removable water still there"),
    # recipe and water
    "moisture": Quantity("x_i", "-", "water in an ingredient as weighed, over its total mass (wet basis)"),
    "water_change": Quantity("Δu", "-", "water content wanted less that there is, dry basis"),
    "water_slope": Quantity("b", "-", "fall of ln yield stress with the water content, dry basis"),
}


def symbol(name):
    """Return the symbol of a quantity by its full name."""
    return QUANTITIES[name].symbol


def unit(name):
    """Return the SI unit of a quantity, as text, by its full name."""
    return QUANTITIES[name].unit
