"""What a verdict, a force or a map rests on: every number with its unit, its limits and where it comes from."""

from collections import Counter
from dataclasses import fields

import numpy as np

from ..drives import AirDrive, HandDrive, ScrewDrive
from ..fitting.text import OPEN, number
from ..material import Paste
from ..origins import ASSUMED, FITTED, INVENTED, ORIGINS, TYPED, of_invented, word_of
from ..units import kPa, mm
from .parts import details, paragraph, table
from .region_words import shown

HEAD = ["", "value", "where it comes from", "95 % interval"]
LEVEL = 1.96  # standard deviations of a 95 % interval
EXACT = "taken as exact"
OF_PAGE = f"{INVENTED}: the example of this page; type your own"
SET = f"{ASSUMED}: set on the slider"


def rests_on(rows, more=""):
    """Return rows of words, value with unit, interval and origin as a folded table that counts the origins in its title."""
    counts = Counter(word_of(row[-1]) for row in rows)
    said = ", ".join(f"{counts[word]} {word}" for word in ORIGINS if counts[word])
    ordered = [[words, value, origin, limits] for words, value, limits, origin in rows]
    inside = f"<div class='wrapped'>{table(HEAD, ordered, 'Every number and where it comes from')}</div>{more}"
    return details(f"What this rests on: {said or 'nothing yet'}", inside)


def paste_rows(material, fit=None):
    """Return the rows of a material, the law first; its limits from a fit where there is one."""
    rows = []
    for name, one in material.table.iterrows():
        spread, unit = one.spread, one.unit
        if name == "batch":
            words, value = "batch to batch: factor on every stress s_b", "× 1"
            limits = " to ".join(f"× {np.exp(sign * LEVEL * spread):.2f}" for sign in (-1, 1)) if spread else EXACT
        else:
            words, value = f"{name.replace('_', ' ')} {one.symbol}", shown(one.value, unit)
            limits = " to ".join(shown(one.value * np.exp(sign * LEVEL * spread), unit) for sign in (-1, 1))
            limits = limits if spread > 0 and one.value else EXACT
        if fit is not None and name in fit.table.index:
            limits = " to ".join(shown(float(fit.table.loc[name, end]), unit) for end in ("low", "high"))
            value = OPEN if name in fit.not_identified else value
        elif np.isnan(spread):
            limits = "drawn jointly with the law"
        rows.append([words, value, limits, one.origin])
    return rows


def unknown_words(material):
    """Return which properties of a paste are not known, in words."""
    unknown = [f.name.replace("_", " ") for f in fields(Paste) if getattr(material.paste, f.name) is None]
    said = f"Not known, so what needs it is not judged and cannot be moved: {', '.join(unknown)}."
    return paragraph(said) if unknown else ""


def invented_lines(material, machine):
    """Return what to say below a picture of invented numbers beside a law that is not invented, and of an invented machine."""
    origins = material.table.origin
    names = [name.replace("_", " ") for name in origins.index if word_of(origins[name]) == INVENTED]
    law = word_of(material.origin("law")) == INVENTED
    lines = [f"INVENTED: {', '.join(names)}"] if names and not law else []
    return [*lines, *(["INVENTED machine and part, for demonstration"] if word_of(machine) == INVENTED else [])]


def machine_rows(extruder, job, origin):
    """Return the rows of an extruder and a job that all come from one place."""
    drive = extruder.drive
    rows = [("bore D", f"{number(float(extruder.nozzle.bore) / mm)} mm")]
    rows += [("bore of the barrel D_0", f"{number(float(extruder.barrel_diameter) / mm)} mm")]
    rows += [("filled barrel length L_f", f"{number(float(extruder.fill_length) / mm)} mm")]
    rows += [("plunger friction F_f", f"{number(float(extruder.plunger_friction))} N")]
    rows += [("drag of the barrel wall, 1: no slip", number(float(extruder.barrel_drag)))]
    if isinstance(drive, ScrewDrive):
        rows.append(("greatest force of the drive", f"{number(float(drive.force))} N"))
    elif isinstance(drive, AirDrive):
        rows.append(("pressure of the air", f"{number(float(drive.pressure) / kPa)} kPa"))
    elif isinstance(drive, HandDrive):
        rows.append(("most asked of the hand", f"{number(float(drive.force))} N"))
    rating = extruder.pressure_rating
    rows.append(("rating printed on the barrel", f"{number(float(rating) / kPa)} kPa" if rating else "none"))
    rows.append(("print speed v", f"{number(float(job.print_speed) / mm)} mm/s"))
    return [[words, value, EXACT, origin] for words, value in rows]


def field_row(field, words, usual, origin=OF_PAGE):
    """Return the row of a field of a page: of the page's example until another number is typed."""
    words, _, unit = words.rpartition(" [")
    unit = unit.partition("]")[0]
    value = f"{number(field.value)}{'' if unit == '-' else f' {unit}'}"
    return [words, value, EXACT, origin if usual is None or field.value == usual else TYPED]


def fit_rows(fit):
    """Return the rows of a fitted law."""
    invented = any(bench.specimen.invented for bench in fit.benches)
    origin = of_invented(FITTED) if invented else FITTED
    return [
        [
            f"{name.replace('_', ' ')} {row.symbol}",
            OPEN if name in fit.not_identified else shown(row.value, row.unit),
            " to ".join(shown(end, row.unit) for end in (row.low, row.high)),
            origin,
        ]
        for name, row in fit.table.loc[list(fit.problem.law_class.parameters())].iterrows()
    ]


def slider_rows(*sliders):
    """Return the rows of sliders, whose descriptions hold the unit."""
    return [field_row(one, one.description, None, SET) for one in sliders]
