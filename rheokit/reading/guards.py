"""Values so far from any bench that the unit or the row is likely wrong; common practice, no source."""

from .stated import example

LIKELY = {
    "density": (700, 2500, "kg/m3"),
    "air_content": (0, 0.2, "-"),
    "water_content": (0, 100, "-"),
    "temperature": (253.15, 403.15, "K"),
    "age": (0, 3e6, "s"),
    "bore": (5e-5, 0.010, "m"),
    "length": (1e-4, 0.3, "m"),
    "inlet_diameter": (5e-5, 0.05, "m"),
    "outlet_diameter": (5e-5, 0.05, "m"),
    "barrel_diameter": (1e-3, 0.15, "m"),
    "fill_length": (0, 1, "m"),
    "plunger_friction": (0, 200, "N"),
    "barrel_drag": (0, 1, "-"),
    "height": (5e-3, 0.4, "m"),
    "diameter": (5e-5, 0.4, "m"),
    "top_diameter": (5e-3, 0.4, "m"),
    "bottom_diameter": (5e-3, 0.4, "m"),
    "volume": (1e-7, 2e-2, "m3"),
    "wall_friction": (0, 1, "-"),
    "rim_tension": (0, 0.1, "N/m"),
    "surface_tension": (0, 0.1, "N/m"),
    "mass": (1e-6, 5, "kg"),
    "load_mass": (0, 200, "kg"),
    "caught_mass": (0, 2, "kg"),
    "catch_time": (0.1, 1e5, "s"),
    "vane_diameter": (2e-3, 0.2, "m"),
    "vane_height": (2e-3, 0.2, "m"),
    "force": (0, 5000, "N"),
    "pressure": (0, 2e7, "Pa"),
    "ambient_pressure": (5e4, 1.1e5, "Pa"),
    "flow_rate": (0, 1e-4, "m3/s"),
    "plunger_speed": (0, 0.1, "m/s"),
    "shear_rate": (0, 1e5, "1/s"),
    "shear_stress": (0, 1e6, "Pa"),
    "radius": (2e-3, 0.5, "m"),
    "slump": (0, 0.4, "m"),
    "penetration": (0, 0.06, "m"),
    "torque": (0, 2, "N m"),
    "stroke": (-1e-3, 1, "m"),
    "cup_volume": (1e-6, 2e-2, "m3"),
    "true_density": (800, 5000, "kg/m3"),
    "wall_width": (2e-4, 0.1, "m"),
    "wet_length": (5e-3, 1, "m"),
    "dry_length": (2e-3, 1, "m"),
    "tare_mass": (0, 2, "kg"),
    "wet_mass": (1e-4, 5, "kg"),
    "dry_mass": (1e-4, 5, "kg"),
    "aperture": (0, 0.02, "m"),
    "retained_mass": (0, 20, "kg"),
}
"""Least and greatest value that a bench of pastes and gels is likely to give, in SI, by name."""

NEVER_ABOVE = {"slump": "height", "top_diameter": "bottom_diameter"}
"""What cannot exceed what."""

CUSTOMARY = {"m": ("mm", 1e3), "m3": ("mL", 1e6), "m3/s": ("mm3/s", 1e9), "Pa": ("kPa", 1e-3), "kg": ("g", 1e3)}


def doubt(name, value):
    """Return why an SI value is unlikely under its name, and the remedy; nothing where it is likely or not known."""
    if name not in LIKELY:
        return ""
    low, high, unit = LIKELY[name]
    if low <= value <= high:
        return ""
    remedy = f'correct it, or write unusual = ["{name}"] beside it if it is really so'
    return (
        f"is outside {_range(low, high, unit)}, where {name.replace('_', ' ')} usually lies; is that the unit? {remedy}"
    )


def _range(low, high, unit):
    if unit == "K":
        return f"{low - 273.15:g} to {high - 273.15:g} °C"
    text, factor = CUSTOMARY.get(unit, (unit, 1.0))
    return f"{low * factor:g} to {high * factor:g}" + ("" if text == "-" else f" {text}")


def radius_for_diameter(name, known):
    """Return what to write where a radius is given for a diameter or the other way round; nothing for other names."""
    if "radius" in name:
        wanted = name.replace("radius", "diameter")
        wanted = wanted if wanted in known else "bore" if "bore" in known else "diameter" if "diameter" in known else ""
        return (
            f"a radius is not read here: write {wanted} and twice the number, such as {wanted} = {example('m')}"
            if wanted
            else ""
        )
    if "diameter" in name and "radius" in known:
        return "a diameter is not read here: write radius and half of the number"
    if "diameter" in name and "bore" in known:
        return f"write bore = {example('m')}: the name of the diameter at the tip"
    return ""
