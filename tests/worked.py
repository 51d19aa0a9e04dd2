"""Worked examples of laws, bench tests and limits: what the code makes of them, and what is wrong with one."""

from collections.abc import Callable, Mapping
from dataclasses import fields, replace

import numpy as np

from rheokit.bench.base import BenchTest
from rheokit.checking import Example
from rheokit.errors import DataError
from rheokit.flow.nozzles import Cylinder, Nozzle
from rheokit.hints import Numbers
from rheokit.laws import FlowLaw
from rheokit.laws.aged import aged
from rheokit.laws.heated import heated
from rheokit.laws.herschel_bulkley import HerschelBulkley
from rheokit.laws.power_law import PowerLaw
from rheokit.laws.watered import watered
from rheokit.limits import Case
from rheokit.limits.base import Limit
from rheokit.limits.plain import DRAWN, LAW, PLAIN
from rheokit.limits.plain import FIBRE as PLAIN_FIBRE
from rheokit.machine.drives import AirDrive, HandDrive, ScrewDrive
from rheokit.machine.extruder import Extruder
from rheokit.part.job import FIBRE
from rheokit.part.printing import PrintJob
from rheokit.part.winding import FibreJob
from rheokit.paste.properties import Paste

AGREE = 1e-6  # relative: worked examples stand to seven digits
MOVED = 1.02  # what an input is multiplied by, to see that it counts
COUNTS = 1e-4  # least relative change of a result that such an input makes


def examples_of(thing: type, results: str) -> list[Example]:
    """Return the worked examples of a law, bench test or limit, as a list.

    Parameters
    ----------
    thing : type
        With an attribute `example`: an `Example`, or several.
    results : str
        What is expected of such a class, in words, for one who writes the first.

    Raises
    ------
    LookupError
        If there is none; the text says what to write.
    """
    found = getattr(thing, "example", ())
    if not found:
        raise LookupError(
            f"{thing.__name__} has no worked example, so nothing outside its own code holds it to its formula. Add:\n\n"
            "    example = (\n"
            "        Example(\n"
            "            given={...},  # inputs by name, in SI, each different from 1 and from the others\n"
            f"            expected={{...}},  # {results}: to seven digits\n"
            '            source="by hand: 4*714*8/1.6 = ...",  # the arithmetic, or a printed page\n'
            "        ),\n"
            "    )\n\n"
            "with one Example for each branch of the formula, worked out without the class itself. It stands in "
            "rheokit.checking; the other files of this folder show how."
        )
    return [found] if isinstance(found, Example) else list(found)


def example_faults(example: Example, results: Callable[[dict], dict]) -> list[str]:
    """Return what is wrong with a worked example, a list of sentences; empty where the code reproduces it.

    `results` takes what is given and returns results by name.
    """
    numbers = {name: np.asarray(value, float) for name, value in example.given.items() if _is_number(value)}
    faults = [] if len(example.source) > 20 else ["Its source is no page and no arithmetic: write one out."]
    seen = {1.0: "1"}
    for name, value in numbers.items():
        if value.ndim == 0 and seen.setdefault(float(value), name) != name:
            faults.append(f"{name} = {value:g} equals {seen[float(value)]}, so a fault may hide: take another number.")
    found = results(example.given)
    for name, value in example.expected.items():
        if name not in found:
            faults.append(f"{name} is no result; there are: {', '.join(f'{k} = {v}' for k, v in found.items())}.")
        elif not np.allclose(found[name], value, rtol=AGREE, atol=0.0):
            faults.append(f"{name} is {_shown(found[name])} here and {_shown(value)} by its source.")
    known = [name for name in example.expected if name in found]
    for name, value in numbers.items():
        if not np.any(value):
            continue  # 0 is moved by no factor
        if _counts(name, value, example.given, {key: found[key] for key in known}, results) == (name in example.idle):
            says = "changes a result, and is called idle" if name in example.idle else "changes no result: leave it out"
            faults.append(f"{name} {says}.")
    return faults


def _counts(name, value, given, found, results):
    try:
        moved = results(given | {name: (value * (MOVED if value.ndim == 0 else np.linspace(MOVED, 2, len(value))))[()]})
    except DataError:  # it is held to a few values
        return True
    return not all(key in moved and np.allclose(moved[key], found[key], rtol=COUNTS, atol=0.0) for key in found)


def _is_number(value):
    return np.asarray(value).dtype.kind in "if"


def _shown(value):
    return np.array2string(np.asarray(value, float), formatter={"float": "{:.9g}".format})


# --- laws --------------------------------------------------------------------------------------------------------

METHODS = {
    "shear_stress": ("shear_rate",),
    "apparent_shear_rate": ("wall_shear_stress",),
    "cone_stress_integral": ("flow_rate", "inlet_radius", "outlet_radius"),
    "stretching_stress": ("flow_rate", "inlet_radius", "outlet_radius"),
}
"""The curves and integrals that an example may hold, by name, and what they take."""


def law_results(law_class: type[FlowLaw]) -> Callable[[dict], dict]:
    """Return a function of what is given (parameters, and what the methods take) that returns results by method."""

    def results(given):
        law = law_class(**{name: given[name] for name in law_class.parameters()})
        return {
            name: getattr(law, name)(*(given[key] for key in takes))
            for name, takes in METHODS.items()
            if set(takes) <= set(given)
        }

    return results


# --- bench tests -------------------------------------------------------------------------------------------------

BENCH_LAW = {"yield_stress": 650.0, "consistency": 210.0, "flow_index": 0.38}
"""A Herschel-Bulkley law, of which an example gives what its reading rests on."""


def worked_record(kind: type[BenchTest], example: Example):
    """Return the record that a worked example of a bench test describes, its readings as expected, and the law.

    `given` holds what the constructor takes, and the parameters of the law; bore and length of a land, and the
    dimensions that a folder names, stand for a nozzle or an extruder.
    """
    given = dict(example.given)
    law = HerschelBulkley(**{name: given.pop(name, value) for name, value in BENCH_LAW.items()})
    if kind.assembly is not None:
        found = {name: given.pop(name, plain) for name, plain in kind.assembly.dimensions.items()}
        found["nozzle"] = Nozzle(Cylinder(diameter=given.pop("bore"), length=given.pop("length")))
        given |= kind.assembly.build(found)
    reads = given.get("read", kind.reads)
    return kind(**({reads: example.expected.get(reads)} if reads not in given else {}), **given), law


def bench_results(kind, example):
    """Return a function of what is given that returns what the test makes of it: readings, or properties and spreads."""

    def results(given):
        record, law = worked_record(kind, example._replace(given=given))
        if not record.gives:
            return {record.reads: record.predict(law)}
        found = record.properties()
        return {name: one.value for name, one in found.items()} | {
            f"spread of {name}": one.spread for name, one in found.items()
        }

    return results


# --- limits ------------------------------------------------------------------------------------------------------

DRIVES = (
    (ScrewDrive, {"torque": "torque", "lead": "lead", "efficiency": "efficiency"}),
    (AirDrive, {"supply_pressure": "pressure"}),
    (HandDrive, {"hand_force": "force"}),
)


CONDITIONED = {
    "water_content": ("water_range", {"water_slope": 3.7}, lambda kind: watered(kind, 1.03)),
    "age": ("age_range", {"age_exponent": 0.13}, lambda kind: aged(kind, 4 * 3600.0)),
}
"""By the condition: what says that it was read, how it acts, and the law that depends on it."""


def worked_case(given: Mapping[str, Numbers], draws: bool = False) -> Case:
    """Return the `Case` that a worked example describes by the names of law, paste, extruder, job and case.

    One that `draws` a fibre is of a power law, read at 318.15 K; one that says which waters or ages were read is of a law that
    depends on them. Bore and length of a land stand for the nozzle; torque,
    lead and efficiency for a screw, supply_pressure for air, hand_force for a hand.
    """
    left = {**(PLAIN_FIBRE if draws else PLAIN), **given}
    kind = heated(PowerLaw, 318.15) if draws else HerschelBulkley
    effects, there = {}, {}
    for condition, (read, effect, make) in CONDITIONED.items():
        if read in left:
            kind, effects, there = make(kind), effect, {condition: left.pop(condition)}
    law = kind(**_taken(left, set((DRAWN if draws else LAW).split())), **effects).at(**there)
    job = FibreJob if draws else PrintJob
    nozzle = Nozzle(Cylinder(diameter=left.pop("bore"), length=left.pop("length")))
    drive = None
    for pusher, names in DRIVES:
        if set(names) <= set(left):
            drive = pusher(**{name: left.pop(key) for key, name in names.items()})
    return Case(
        paste=Paste(law=law, **_taken(left, _names(Paste))),
        extruder=Extruder(nozzle=nozzle, drive=drive, **_taken(left, _names(Extruder))),
        job=job(**_taken(left, _names(job))),
        **_taken(left, _names(Case)),
    )


def limit_results(limit: Limit) -> Callable[[dict], dict]:
    """Return a function of what is given that returns value, bounds and margin, and the margin one model error worse."""

    def results(given):
        draws = limit.jobs == (FIBRE,) or "throughput" in given
        known = _names(Paste) | _names(Extruder) | _names(PrintJob) | _names(FibreJob) | _names(Case)
        own = {name: value for name, value in given.items() if name in _names(type(limit)) - known}
        case, asked = worked_case({name: given[name] for name in given if name not in own}, draws), limit
        asked = replace(limit, **own) if own else limit
        if not asked.judges(case):
            return {"judged": False, "because": asked.missing(case) or "not asked by the job"}
        found = {name: getattr(asked, name)(case) for name in ("value", "low", "high", "margin")}
        worse = [asked.margin(case, lambda name, side=side: side) for side in (-1.0, 1.0)]
        known = {name: value for name, value in found.items() if value is not None}
        return {**known, "margin with error": np.min(worse)}

    return results


def _names(kind):
    return {f.name for f in fields(kind)} if hasattr(kind, "__dataclass_fields__") else set()


def _taken(left, names):
    return {name: left.pop(name) for name in sorted(names & set(left))}
