"""The record and the law of a worked example of a bench test."""

from ..flow.nozzles import Cylinder, Nozzle
from ..laws.herschel_bulkley import HerschelBulkley
from .base import BenchTest

PLAIN = {"yield_stress": 650.0, "consistency": 210.0, "flow_index": 0.38}
"""A Herschel-Bulkley law, of which an example gives what its reading rests on."""


def worked_record(kind: type[BenchTest], example):
    """Return the record that a worked example of a bench test describes, its readings as expected, and the law.

    `given` holds what the constructor takes, and the parameters of the law; bore and length of a land, and the
    dimensions that a folder names, stand for a nozzle or an extruder.
    """
    given = dict(example.given)
    law = HerschelBulkley(**{name: given.pop(name, value) for name, value in PLAIN.items()})
    if kind.assembly is not None:
        found = {name: given.pop(name, plain) for name, plain in kind.assembly.dimensions.items()}
        if kind.assembly.nozzle:
            found["nozzle"] = Nozzle(Cylinder(diameter=given.pop("bore"), length=given.pop("length")))
        given |= kind.assembly.build(found)
    reads = given.get("read", kind.reads)
    return kind(**({reads: example.expected.get(reads)} if reads not in given else {}), **given), law


def worked_results(kind, example):
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
