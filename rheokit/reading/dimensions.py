"""The dimensions of a test: from its [[test]], its apparatus and its specimen, with what is missing or not likely."""

from typing import NamedTuple

import numpy as np

from ..flow.gauges import LUER_TAPER
from ..flow.nozzles import Cone, Cylinder, Nozzle
from ..nomenclature import example, written
from ..units import unit_scale
from .faults import listed, shown
from .guards import NEVER_ABOVE, above, doubt_number, radius_for_diameter
from .stated import Stated, read_number

SEGMENTS = {
    frozenset(("diameter", "length")): Cylinder,
    frozenset(("inlet_diameter", "outlet_diameter", "length")): Cone,
}
ENDS = ("inlet_diameter", "outlet_diameter")
DIAMETERS = ("diameter", *ENDS)  # of a segment, which the gauge of a needle may give
LUER = "luer", "luer taper"
MEASURED_BY = {"density": "cup density", "plunger_friction": "empty barrel"}  # the test that lends what nobody states
MOST_SEGMENTS = 20  # most segments of a nozzle; none on a bench has a third of them


class Place(NamedTuple):
    """Where a dimension was stated, and the `Stated` number; None where it is absent on purpose or faulty."""

    where: str
    stated: Stated


class Dimensions(NamedTuple):
    """SI values by name; the `Stated` of those that are uncertain; names for which a usual value was taken; notes."""

    values: dict
    uncertain: dict
    assumed: tuple
    notes: tuple = ()


def write_it(name, unit):
    """Return what to write, and where, for a dimension that is missing."""
    at = {"density": "[specimen]"}.get(name, "its apparatus")
    if name in MEASURED_BY:
        at += f", or add a test of kind '{MEASURED_BY[name]}'"
    return f"write {name} = {example(unit, name)} in {at}"


def nozzle_of(values):
    """Return the `Nozzle` that values by name describe: bore and length, or ``nozzle 1 diameter`` and so on."""
    if "bore" in values:
        return Nozzle(Cylinder(diameter=values["bore"], length=values["length"]))
    segments = {}
    for key, value in values.items():
        if key.startswith("nozzle "):
            _, place, name = key.split()
            segments.setdefault(int(place), {})[name] = value
    return Nozzle(*(SEGMENTS[frozenset(ends)](**ends) for _, ends in sorted(segments.items())))


def read_dimensions(form, tables, specimen, unusual, faults):
    """Return the `Dimensions` of a test.

    `tables` are where and what: the apparatus first, then the [[test]], which counts before it. `specimen` holds the numbers
    that it lends where neither states them; values of `unusual` names are not checked for being likely.
    """
    places = _places(form, tables, faults)
    where = tables[-1][0]
    for name in set(form.dimensions) | form.given():
        if name in specimen and name not in places:
            places[name] = Place("bench.toml, [specimen]", specimen[name])
    _by_other_ways(form, places, where, faults)
    values, uncertain, tip = {}, {}, tip_of(places)
    for name, (place, stated) in places.items():
        if stated is None:
            continue
        values[name] = stated.value
        plain = "bore" if name == tip else name.split()[-1]
        if stated.uncertainty is not None:
            uncertain["bore" if name == tip else name] = stated
        of_specimen = name in specimen and specimen[name] is stated  # told where it stands
        if not of_specimen and plain not in unusual and (why := doubt_number(plain, stated.value, stated.uncertainty)):
            faults.add(place, f"{name} = {shown(stated.text)} {why}")
    for name in above(values):
        if name not in unusual:
            words = f"{name} is larger than {NEVER_ABOVE[name]}; are they swapped, or is the unit of one wrong?"
            faults.add(where, words)
    assumed = _fill_missing(form, places, values, uncertain, where, faults)
    looked_up = [(name, place) for name, place in places.items() if place.stated and place.stated.looked_up]
    notes = (f"{p.where}: {_words(name)} = {shown(p.stated.text)}: {p.stated.looked_up}." for name, p in looked_up)
    return Dimensions(values, uncertain, assumed, tuple(notes))


def _words(name):
    """Return the name of a dimension in words, such as ``segment 1 of the nozzle, diameter``."""
    if not name.startswith("nozzle "):
        return name
    _, number, of = name.split()
    return f"segment {number} of the nozzle, {of}"


def _places(form, tables, faults):
    found = {}
    for where, table in tables:
        own = {}
        for name in form.dimension_names():
            if name == "nozzle" and name in table:
                own |= _segments(where, table[name], faults)
            elif name in table:
                own[name] = _place(where, name, table[name], form, faults)
        if form.nozzle and "nozzle" in table and {"bore", "length"} & set(own):
            faults.add(where, "nozzle = [...] and bore or length are both given; keep one of the two")
        stated = [group for group in form.groups().values() if any(key in table for key in group)]
        replaced = {name for group in stated for name in group}
        if "nozzle" in replaced and "nozzle" not in table:
            replaced -= {"bore", "length"}
        kept = {n: p for n, p in found.items() if n not in replaced and n.partition(" ")[0] not in replaced}
        found = kept | own
    return found


def _place(where, name, given, form, faults):
    item = form.dimensions.get(name)
    if item is not None and not item.required and given == "none":
        return Place(where, None)
    may_be_zero = not item.positive if item is not None else form.quantity(name).likely[0] == 0  # no carrier weighs 0 g
    by_gauge = name == "bore"
    return Place(
        where, read_number(name, given, form.quantity(name).unit, where, faults, may_be_zero, by_gauge=by_gauge)
    )


def _segments(where, segments, faults):
    example_list = '[{diameter = "2 mm", length = "20 mm"}]'
    if segments in LUER:
        example_list = (
            '[{taper = "luer", outlet_diameter = "3.9 mm", length = "8 mm"}, {diameter = "18G", length = "25 mm"}]'
        )
        told = "the name of a taper, which needs its narrow end and its length as measured"
        faults.add(where, f"nozzle = {shown(segments)} is {told}: write nozzle = {example_list}")
        return {"nozzle": Place(where, None)}
    if not isinstance(segments, list) or not segments or not all(isinstance(s, dict) for s in segments):
        faults.add(where, f"nozzle must be a list of segments in flow order, such as nozzle = {example_list}")
        return {"nozzle": Place(where, None)}
    if len(segments) > MOST_SEGMENTS:
        faults.add(where, f"nozzle has {len(segments)} segments; {MOST_SEGMENTS} at most: a taper is one segment")
        return {"nozzle": Place(where, None)}
    found = {}
    for k, segment in enumerate(segments, 1):
        of, ends = f"segment {k} of the nozzle, ", [name for name in ENDS if name in segment]
        tapered = len(ends) == 1 and frozenset(segment) == {"taper", "length", *ends}
        if not tapered and frozenset(segment) not in SEGMENTS:
            radius = next((name for name in segment if "radius" in name), "")
            hint = radius_for_diameter(radius, DIAMETERS)
            told = f"segment {k} of the nozzle has {listed(map(shown, segment)) or 'nothing'}; a land has diameter and length"
            told = f"{told}, a taper inlet_diameter, outlet_diameter and length, or one of the two and its taper"
            faults.add(where, f"{told}; {hint}" if hint else told)
            continue
        own = {}
        for name, given in segment.items():
            if name == "taper":
                taper = _taper(given, where, faults, of)
                continue
            stated = read_number(name, given, "m", where, faults, of=of, by_gauge=name in DIAMETERS)
            own[name] = Place(where, stated)
        if tapered and taper and all(place.stated for place in own.values()):
            other = _other_end(ends[0], own, taper)
            name = next(name for name in ENDS if name not in ends)
            if other.value > 0:
                own[name] = Place(where, other)
            else:
                faults.add(
                    where, f"{of}taper = {shown(taper.text)} leaves nothing of the narrow end; correct taper or length"
                )
        found |= {f"nozzle {k} {name}": place for name, place in own.items()}
    return found or {"nozzle": Place(where, None)}


def _taper(given, where, faults, of):
    """Return the `Stated` taper of a segment: change of diameter over length, by number or as that of a luer fitting."""
    if given in LUER:
        words = f"the taper of a luer fitting, {written(LUER_TAPER, '%')} of diameter over length, was taken from its narrow to its wide end"
        return Stated(LUER_TAPER, None, unit_scale("-", "-"), given, looked_up=words)
    stated = read_number("taper", given, "-", where, faults, of=of)
    if stated and stated.value >= 2:
        faults.add(
            where,
            f"{of}taper = {shown(stated.text)} must be less than 2: it is the change of diameter over length, such as 6 %",
        )
        return None
    return stated


def _other_end(end, own, taper):
    """Return the `Stated` diameter of the other end of a taper, as uncertain as the one that is stated."""
    one, sign = own[end].stated, -1 if end == "inlet_diameter" else 1
    return one._replace(value=one.value + sign * taper.value * own["length"].stated.value, share=None, text=taper.text,
                        looked_up=taper.looked_up)  # fmt: skip


def _by_other_ways(form, places, where, faults):
    """Put the dimension that other dimensions give in their place, such as a force for the mass that loads a plate."""
    for target in form.dimensions:
        for way in form.ways.get(target, ()):
            inputs = {name: places.pop(name) for name in way.inputs if name in places}
            if len(inputs) < len(way.inputs):
                continue
            if target in places:
                faults.add(where, f"{target} and {listed(inputs)} are both given; keep one")
            if any(place.stated is None for place in inputs.values()):
                places[target] = Place(where, None)
                continue
            amount = way.compute(**{name: place.stated.value for name, place in inputs.items()})
            shares = [(p.stated.uncertainty or 0.0) / p.stated.value for p in inputs.values()]
            spread = amount * float(np.linalg.norm(shares)) or None
            place, stated = next(iter(inputs.values()))
            places[target] = Place(place, stated._replace(value=amount, uncertainty=spread, share=None))


def tip_of(names):
    """Return the name of the diameter at the tip of a nozzle of segments, or nothing."""
    diameters = [name for name in names if name[:7] == "nozzle " and name.endswith((" diameter", " outlet_diameter"))]
    return max(diameters, key=lambda name: int(name.split()[1]), default="")


def _fill_missing(form, places, values, uncertain, where, faults):
    assumed = []
    for name, item in form.dimensions.items():
        if name in values or (name in places and item.required):
            continue
        if item.required:
            words = f"{item.quantity.meaning}; {write_it(name, item.quantity.unit)}"
            faults.add(where, f"a {form.kind.kind} needs {' or '.join(form.in_words(name))}: {words}")
        elif name in form.kind.unstated and name not in places:
            values[name], spread = form.kind.unstated[name]
            uncertain[name] = Stated(values[name], spread, None, "")
            assumed.append(name)
        else:
            values[name] = item.default
    if form.nozzle and not any(name.startswith("nozzle") for name in places):
        for name, text in (("bore", "bore at the tip"), ("length", "length of the straight land")):
            if name not in places:
                words = f"{text}; {write_it(name, 'm')}, or nozzle = [...]"
                faults.add(where, f"a {form.kind.kind} needs {name}: {words}")
    return tuple(assumed)
