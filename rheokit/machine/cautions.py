"""How machines hurt, and what to say beside their numbers."""

from types import MappingProxyType

CAUTIONS = MappingProxyType(
    {
        "barrel": (
            "A medical syringe carries no pressure rating: never drive one with compressed air, and by screw or hand "
            "stay below 100 kPa. Above that use a barrel with a printed rating and stay below half of it at the "
            "actual temperature. Wear eye protection, point the tip away, never raise pressure to clear a clog: vent, "
            "remove, clear. Your laboratory's own rules and risk assessment decide."
        ),
        "stored gas": (
            "Compressed gas stores energy that a burst barrel throws out at once: 60 mL at 6 bar hold about 45 J. "
            "Set a relief valve below the rating, lock the regulator, secure the hoses, "
            "start with a full barrel, which holds less gas, and vent before you open anything. Your laboratory's own "
            "rules decide."
        ),
        "pinch": (
            "The pusher of a motor crushes fingers with 100 N and more: limit its force, fit end stops and an "
            "emergency stop, and keep hands from between pusher and flange while it is powered. Your laboratory's own "
            "rules decide."
        ),
        "stall": (
            "A stalled screw holds the full pressure, also with the power off: back the pusher off until the force is "
            "gone before you touch the tip or the barrel. Your laboratory's own rules decide."
        ),
        "tip": (
            "A tip that is only pushed on flies off: use tips that lock or are clamped, point them away from "
            "everybody, wear eye protection and never look into a blocked one. Your laboratory's own rules decide."
        ),
        "weights": (
            "Weights and bottles on a plunger slip, fall and pinch, and a plunger that breaks loose drops its load at once: "
            "guide the load, put a block below it, keep fingers out and feet away, wear eye protection. Your laboratory's own "
            "rules decide."
        ),
        "hot gel": (
            "Hot gelatin and agar stick and burn: 60 °C in seconds, agar of 85 °C and more at once. Insulated gloves and eye "
            "protection, a cut-out against overheating, no heat on a barrel that is sealed; cool a burn for 20 minutes under "
            "running water. Your laboratory's own rules decide."
        ),
        "bath": (
            "Alcohol burns, and its vapour is heavier than air: never an alcohol bath below a heated nozzle or beside "
            "a heater, a hot plate or a motor with brushes; cold water does, small, covered and ventilated baths elsewhere. "
            "Water and gel make floors slippery: a tray below, wipe at once, and keep mains and drives dry, behind a residual "
            "current device. Keep hands and sleeves off the drum. Your laboratory's own rules decide."
        ),
        "hand": (
            "In a narrow syringe a thumb makes several hundred kPa: look at the pressure, not at the force alone, and "
            "stop where nothing comes out. Your laboratory's own rules decide."
        ),
    }
)
"""What to say beside the numbers, by hazard. Common practice of laboratories, no source."""
