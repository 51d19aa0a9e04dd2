"""What only the authors know, and may write into the plan: texts of its table ``[page.appendix]``, by key."""

TABLE = "page.appendix"
MATERIAL = {
    "suppliers": "suppliers and lots of the ingredients",
    "grades": "grade and molar mass of gums or gelatin",
    "ph_and_salt": "salt and pH",
    "mixing": "how it was mixed (tool, speed, time)",
    "storage": "how it was kept until the test",
}
APPARATUS = {
    "dimensions_measured": "how each dimension was measured",
    "instruments": "make, model, range and resolution of each instrument that was read",
    "geometry": "geometry of each rotational instrument or cup: diameter, angle or gap, cut tip, surface",
    "torque_range": "least and greatest torque of each rotational instrument, and what became of readings below the least",
    "temperature_control": "how the temperature of the readings was held and read, and its uncertainty",
    "calibration": "calibration of each instrument: when, against what, and what it was found to be off",
    "uncertainties": "what each stated uncertainty is by: calibration, resolution or repeats",
    "bench_rating": "printed pressure rating, or proof test, of each barrel or vessel that held the pressure on the bench",
    "walls": "roughness of walls and plates",
}
PROTOCOL = {
    "pre_shear": "pre-shear and rest before a reading",
    "steadiness": "when a reading was called steady",
    "direction": "direction of the rates or loads",
    "repeats": "whether each reading is of a fresh filling, or one filling was read again",
    "test_order": "order of the tests among each other, if it is not that of the folder",
    "room": "temperature and humidity of the room",
    "exclusions": "what was left out, why, and when that was decided",
    "operator": "who read, and where",
}
STATEMENTS = {
    "correspondence": "whom to write to, and how",
    "competing_interests": "competing interests",
    "funding": "funding",
    "contributions": "who did what",
    "ethics": "ethics review, or why none was needed",
    "safety_review": "review of safety, and by whom",
    "data_licence": "licence of the data",
    "data_doi": "repository and DOI of the data",
}
KEYS = {**MATERIAL, **APPARATUS, **PROTOCOL, **STATEMENTS}
"""Every key of the table in words."""

OPEN = "\n".join(
    (
        "",
        "# What only its authors know, for the appendix of a report: take away the # before a line and before the table, and write a text.",
        f"# [{TABLE}]",
        *(f'# {key} = ""  # {words}' for key, words in KEYS.items()),
        "",
    )
)
"""The same as lines of a new plan, none of which says anything yet."""
