"""Words by which headers of several languages name a quantity: a hint where units leave it open, and never more than that."""

from .export_units import folded

WORDS = {
    "shear_stress": (
        *(
            "shear stress",
            "schubspannung",
            "scherspannung",
            "contrainte",
            "cisaillement",
            "esfuerzo",
            "tensión",
            "tensao",
            "tensão",
        ),
        *("sforzo", "schuifspanning", "skjuvspänning", "naprężenie", "напряжение", "τ", "tau", "σ"),
        *("せん断応力", "剪断応力", "ずり応力", "剪切应力", "切应力", "剪應力", "전단응력", "전단 응력"),
    ),
    "shear_rate": (
        *("shear rate", "scherrate", "schergeschwindigkeit", "geschwindigkeitsgefälle", "vitesse de cisaillement"),
        *("taux de cisaillement", "gradient", "velocidad de", "taxa de", "gradiente", "velocità", "afschuifsnelheid"),
        *(
            "prędkość",
            "szybkość",
            "скорость",
            "γ̇",
            "γ",
            "gamma",
            "せん断速度",
            "剪断速度",
            "ずり速度",
            "剪切速率",
            "切变率",
            "전단율",
            "전단속도",
        ),
    ),
    "temperature": ("temperature", "temperatur", "température", "temperatura", "температура", "温度", "溫度", "온도"),
    "force": ("force", "load", "kraft", "last", "fuerza", "forza", "força", "siła", "сила", "荷重", "力", "하중"),
    "pressure": (
        "pressure",
        "druck",
        "pression",
        "presión",
        "pressione",
        "pressão",
        "ciśnienie",
        "давление",
        "圧力",
        "压力",
        "압력",
    ),
    "time": ("time", "zeit", "temps", "tiempo", "tempo", "czas", "время", "時間", "时间", "시간"),
}
"""By name of the quantity; common words of the field in these languages, from memory."""
OTHERS = (
    *(
        "normal",
        "yield",
        "storage",
        "loss",
        "modulus",
        "modul",
        "speicher",
        "verlust",
        "elastic",
        "viscous",
        "complex",
        "amplitude",
        "target",
        "soll",
        "set",
    ),
    *(
        "consigne",
        "std",
        "deviation",
        "abweichung",
        "error",
        "fehler",
        "法向",
        "法線",
        "貯蔵",
        "損失",
        "储能",
        "损耗",
    ),
)
"""Words that say that a column of the right unit is another quantity."""


def likely(name, header):
    """Return how much the words of a header speak for a quantity: 1 for, 0 nothing, -1 against."""
    words = folded(header)
    if any(folded(word) in words for word in OTHERS):
        return -1
    return int(any(folded(word) in words for word in WORDS.get(name, (name.replace("_", " "),))))
