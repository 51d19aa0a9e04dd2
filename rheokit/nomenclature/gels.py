"""The quantities of heated gels and of fibres that are drawn of them: part of the one table."""

from .quantity import ANY, SHARE, TEMPERATURES, Quantity

TEMPERATURE = (273.15, 373.15)  # where a gel is held, laid or wound [K]

GELS = {
    # what a gel is
    "gel_temperature": Quantity(
        "T_gel", "K", "temperature at which a gel that is cooled stops to flow", TEMPERATURE, TEMPERATURES, spread=0.0033, example="33 °C"
    ),
    "melt_temperature": Quantity(
        "T_m", "K", "temperature at which a set gel that is warmed starts to flow", TEMPERATURE, TEMPERATURES, spread=0.0033, example="36 °C"
    ),
    "setting_time": Quantity(
        "t_10", "s", "time to set 10 K below the gel point", (0.05, 1e5), spread=0.3, example="5 s"
    ),
    "setting_exponent": Quantity("p", "-", "fall of ln setting time with ln of the kelvins below the gel point", (0.5, 5), (0, 50), spread=0.1),
    "heat_capacity": Quantity("c", "J/(kg·K)", "heat to warm a mass", (800, 4500), spread=0.05),
    "thermal_diffusivity": Quantity("a", "m²/s", "diffusivity of heat", (5e-8, 5e-7), spread=0.07, customary="mm²/s"),
    "water_activity": Quantity("a_w", "-", "vapour pressure over a gel over that of water", (0.5, 1), SHARE),
    "dry_section": Quantity("φ_f", "-", "section of a dry fibre over that of the wet one", (5e-3, 1), SHARE, spread=0.07),
    "break_ratio": Quantity("D_B", "-", "greatest draw ratio that was drawn without a break", (1, 1000), spread=0.15),
    # how a fibre is drawn
    "throughput": Quantity("Q", "m³/s", "volume flow through the nozzle", (1e-11, 1e-6)),
    "winding_speed": Quantity("v_w", "m/s", "speed at which a fibre is wound", (1e-3, 10)),
    "gap": Quantity("L_g", "m", "way in the air from the nozzle to the bath or the drum", (1e-4, 2)),
    "nozzle_temperature": Quantity("T_n", "K", "temperature of the wall of a heated nozzle", TEMPERATURE, TEMPERATURES),
    "barrel_temperature": Quantity("T_b", "K", "temperature of the paste in the barrel", TEMPERATURE, TEMPERATURES),
    "air_temperature": Quantity("T_a", "K", "temperature of the air", (253.15, 333.15), TEMPERATURES),
    "draught": Quantity("v_c", "m/s", "speed of the air across a fibre", (0, 5)),
    "bath_length": Quantity("L_b", "m", "way of a fibre through its bath", (0, 20)),
    "bath_temperature": Quantity("T_l", "K", "temperature of the bath", (253.15, 333.15), TEMPERATURES),
    "dry_diameter": Quantity("d_d", "m", "diameter of a dry fibre", (5e-6, 5e-3)),
    "dry_diameter_tolerance": Quantity("u(d_d)/d_d", "-", "share by which a dry diameter may miss the one that is wanted", (0, 0.5)),
    "wet_diameter": Quantity("d_w", "m", "diameter of a fibre as it is wound", (5e-6, 1e-2)),
    "pause": Quantity("t_p", "s", "time for which the flow stops", (0, 1e5)),
    "needle_outer_diameter": Quantity("d_o", "m", "outer diameter of a needle", (1e-4, 0.02)),
    "exit_temperature": Quantity("T_e", "K", "temperature of the paste as it leaves the nozzle, mean over the flow", TEMPERATURE, TEMPERATURES),
    "draw_ratio": Quantity("D_R", "-", "winding speed over the mean speed in the bore", (1, 1000)),
    "setting": Quantity("s", "-", "how far a gel has set: 1 where it is set", (0, 1e6)),
    "temperature_difference": Quantity("ΔT", "K", "kelvins between two temperatures", ANY, ANY, customary="K"),
    "temperature_error": Quantity("u(T)", "K", "standard deviation of a temperature", (0, 20), customary="K"),
    "flow_error": Quantity("u(Q)/Q", "-", "relative standard deviation of the flow", (0, 0.5)),
    # how it cools, sets and is drawn
    "graetz_length": Quantity("x*", "-", "length over what heat needs to cross the bore, π a L/4Q", (0, 1e4)),
    "temperature_left": Quantity("θ", "-", "share left of what a temperature has to change", SHARE, SHARE),
    "heat_transfer": Quantity("h", "W/(m²·K)", "heat from a surface to the air, per area and kelvin", (1, 1000)),
    "volumetric_heat": Quantity("ρc", "J/(m³·K)", "heat to warm a volume", (5e5, 1e7)),
    "wall_heat": Quantity("ρ_w c_w", "J/(m³·K)", "heat to warm a volume of a needle's wall", (5e5, 1e7)),
    "thermal_time_constant": Quantity("τ_c", "s", "time to cool by a factor e", (1e-6, 1e5)),
    "uptake": Quantity("U", "-", "share of an exchange that is done", SHARE, SHARE),
    "thread_diameter": Quantity("d", "m", "diameter of a wet thread", (5e-6, 2e-2)),
    "thread_speed": Quantity("v", "m/s", "speed of a thread along itself", (0, 20)),
    "thread_reynolds_number": Quantity("Re", "-", "Reynolds number of the air along a thread, v d/ν", (0, 1e3)),
    "dry_mass_fraction": Quantity("x_s", "-", "dry mass over total mass of the wet gel", (1e-3, 1), SHARE),
    "residual_moisture": Quantity("r", "-", "water left in a dry fibre, over its total mass (wet basis)", (0, 0.5), SHARE),
    "drum_diameter": Quantity("D_d", "m", "diameter of the drum", (2e-3, 2), example="60 mm"),
    "drum_speed": Quantity("N", "1/s", "turns of the drum per time", (0, 100)),
    "capillary_number": Quantity("C", "-", "surface tension over viscous tension of a thread that is drawn", (0, 1e4)),
    "critical_draw_ratio": Quantity("D_c", "-", "draw ratio from which a thread pulses", (1, 1e3)),
    "draw_tension": Quantity("F_t", "N", "force that draws a thread", (0, 10)),
    "unevenness_gain": Quantity("G", "-", "ln of how much more uneven a thread arrives than it left", (0, 1e4)),
    "breakup_length": Quantity("L_B", "m", "way on which a thread breaks up into beads", (0, 1e3)),
    "taut_length": Quantity("L_t", "m", "way from which a thread falls faster than it is wound", (0, 1e4)),
    "surrounding_density": Quantity("ρ_0", "kg/m³", "density of what surrounds a thread", (0, 2000)),
    "slenderness": Quantity("r/V^⅓", "-", "radius of a tip over the cube root of the volume of a drop", (0.1, 2)),
    "drop_mass": Quantity("m_d", "kg", "mass of one drop", (1e-7, 1e-3)),
    # tests of liquids and gels
    "ball_diameter": Quantity("d", "m", "diameter of the ball", (2e-4, 0.05), example="3.00 mm"),
    "ball_density": Quantity("ρ_b", "kg/m³", "density of the ball", (1050, 2e4), example="7800 kg/m3"),
    "ball_rate": Quantity("c", "-", "shear rate that a falling ball sees over its speed over its diameter", (0.05, 2)),
    "tube_diameter": Quantity("D_t", "m", "inside diameter of the tube", (2e-3, 0.3), example="30 mm"),
    "start_level": Quantity("h_0", "m", "level above the end of the nozzle at the start", (5e-3, 2), example="90 mm"),
    "end_level": Quantity("h_1", "m", "level above the end of the nozzle at the end", (5e-3, 2), example="60 mm"),
    "drain_time": Quantity("t", "s", "time in which the level falls from one mark to the other", (0.2, 1e5)),
    "transition_temperature": Quantity("T", "K", "temperature at which a gel stops or starts to flow", TEMPERATURE, TEMPERATURES),
    "outer_diameter": Quantity("d_o", "m", "outer diameter of the tip that drops hang from", (2e-4, 0.02), example="3.00 mm"),
    "turns": Quantity("N", "-", "turns of thread that were weighed", (1, 1e5), example="100"),
    "room_temperature": Quantity("T_a", "K", "temperature of the room", (273.15, 318.15), TEMPERATURES, example="22 °C"),
    "rest": Quantity("t_r", "s", "time without flow before the row was read", (0, 1e6)),
}  # fmt: skip
"""By full name."""
