"""What a verdict, a force or a map rests on: every number with its unit, its limits and where it comes from."""

from collections import Counter
from types import MappingProxyType

import numpy as np

from ...fitting.text import OPEN
from ...laws import Shifted
from ...nomenclature import cells, number, with_unit
from ...origins import ASSUMED, INVENTED, NOT_IDENTIFIED, ORIGINS, of_fit, word_of
from ...paste.properties import bounded, limits_of_property
from ...sampling import limits_of_spread
from .elements import details, paragraph, table
from .typed_numbers import unit_of

HEAD = ["", "value", "where it comes from", "95 % interval"]
EXACT = "taken as exact"
OF_PAGE = f"{INVENTED}: the example of this page; type your own"
SET = f"{ASSUMED}: set on this page"


def unknown_row(words):
    """Return the row of what is not known: it comes from nowhere."""
    return [words, "not known", "", ""]


def rests_on(rows, more=""):
    """Return rows of words, value with unit, interval and origin as a folded table that counts the origins in its title."""
    counts = Counter(word_of(row[-1]) for row in rows if row[-1])
    said = ", ".join(f"{counts[word]} {word}" for word in (*ORIGINS, NOT_IDENTIFIED) if counts[word])
    ordered = [[words, value, origin, limits] for words, value, limits, origin in rows]
    inside = f"<div class='wrapped'>{table(HEAD, ordered, 'Every number and where it comes from')}</div>{more}"
    return details(f"What this rests on: {said or 'nothing yet'}", inside)


def paste_rows(material, paste=None, on_page=(), told=MappingProxyType({})):
    """Return the rows of a material, the law first; its limits from the fit behind it where there is one.

    `paste` is the one as moved on the page; `on_page` names what was set there; `told` are limits [SI] of what is not drawn with its own, by name.
    """
    fit, paste, rows = material.fit, paste or material.paste, []
    law, factor = paste.law, 1.0
    while isinstance(law, Shifted) and not isinstance(material.own_law, Shifted):
        law, factor = law.law, factor * float(law.stress_factor)
    for name, one in material.table.iterrows():
        spread, unit, now = one.spread, one.unit, one.value
        if name == "batch":
            words, value = "batch to batch: factor on every stress s_b", "× 1"
            limits = (
                " to ".join(f"× {end:.2f}" for end in limits_of_spread(1.0, material.sure_spread)) if spread else EXACT
            )
        else:
            now = float(getattr(law if hasattr(law, name) else paste, name))
            words = f"{name.replace('_', ' ')} {one.symbol}"
            value, limits = _cells(now, *limits_of_property(str(name), now, spread), unit)
            limits = limits if spread > 0 and now else EXACT
        if fit is not None and name in fit.table.index:
            value, limits = _estimate(fit, name, now)
        elif name in told and name not in on_page:
            value, limits = _cells(now, *told[name], unit)
        elif np.isnan(one.value):
            value, limits = OPEN, "no limit known"
        elif np.isnan(spread):
            limits = "drawn jointly with the law"
        rows.append([words, value, limits, SET if name in on_page else one.origin])
    if not np.isclose(factor, 1.0):
        origin = material.origin("water_slope") if "water_content" in on_page else SET
        rows.append(["every stress here, over that of the law above", f"× {number(factor)}", EXACT, origin])
    return rows


def unknown_words(material):
    """Return which properties of a paste are not known, in words."""
    paste = material.paste
    unknown = [name.replace("_", " ") for name in paste.asked_of_it if getattr(paste, name) is None]
    said = f"Not known, so what needs it is not judged and cannot be moved: {', '.join(unknown)}."
    return paragraph(unknown and said)


def field_row(field, words, origin):
    """Return the row of a field of a page, with where its number comes from."""
    return [words.rpartition(" [")[0], with_unit(number(field.value), unit_of(words)), EXACT, origin]


def fit_rows(fit):
    """Return the rows of a fitted law."""
    invented = any(bench.specimen.invented for bench in fit.benches)
    origin = of_fit(invented, fit.stamp)
    return [
        [f"{name.replace('_', ' ')} {row.symbol}", *_estimate(fit, name, row.value), origin]
        for name, row in fit.table.loc[list(fit.problem.law_class.parameters())].iterrows()
    ]


def _estimate(fit, name, value):
    """Return the value [SI] of a parameter of a fit with its limits; of one that is not identified both are arbitrary, and words."""
    row = fit.table.loc[name]
    return (
        (OPEN, "no limit")
        if name in fit.not_identified
        else _cells(value, *(bounded(name, end, value) for end in (row.low, row.high)), row.unit)
    )


def _cells(value, low, high, si_unit):
    value, limits, unit = cells(value, low, high, si_unit)
    return with_unit(value, unit), with_unit(limits, unit)


def slider_rows(*sliders):
    """Return the rows of sliders; one that nobody moved is the example's."""
    return [field_row(one, one.words, OF_PAGE if one.stands_at(one.of_example) else SET) for one in sliders]
