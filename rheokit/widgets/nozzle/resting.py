"""What force, pressure and verdict rest on: every number of machine, part and paste with where it comes from; no widget."""

from collections.abc import Mapping

from ...limits import Case
from ...paste.material import Material
from ..page.machine_rows import machine_rows
from ..page.rests_on import SET, field_row, paste_rows
from .controls import NozzleControls


def rows_of_nozzle(
    material: Material, controls: NozzleControls | None, case: Case | None, told: Mapping
) -> list[tuple]:
    """Return the rows of a case of the page; without one those of the paste alone; `told` as in `paste_rows`."""
    if controls is None or case is None:
        return paste_rows(material, told=told)
    machine, job = controls.origins
    known = paste_rows(material, case.paste.stiffer(1 / controls.stiffness.value), told=told)
    rows = machine_rows(material, controls.extruder(), case, machine, job_origin=job, plan=controls.plan)
    if controls.stiffness.value != 1:
        rows.append(field_row(controls.stiffness, controls.stiffness.words, SET))
    return [*rows, *known]
