"""How the powders and pastes themselves hurt, and what to say beside their numbers."""

from types import MappingProxyType

CAUTIONS = MappingProxyType(
    {
        "mould": (
            "A wet organic paste can grow mould within days: date the jar, keep it in the cold and use it within two days, throw "
            "away what smells or shows mould, never wet or grind it again. Not for food or for children."
        ),
        "dust": (
            "Dry flours and dried parts make dust that harms the lungs and can explode; clay dust holds quartz. Weigh and grind "
            "small amounts under extraction, away from flames and sparks, wear a particle mask, wipe wet, never sweep dry or blow "
            "with air."
        ),
        "slips": "Spilled gum is slippery like soap and blocks drains: take up solids first, then wash, and say so at the door.",
        "sensitising": "Nut, gluten, shell and fish ingredients can set off allergies: name the ingredients on the jar.",
    }
)
"""What to say beside the numbers, by hazard. Common practice of laboratories, no source."""

DECIDES = "Your laboratory's own rules and risk assessment decide."
