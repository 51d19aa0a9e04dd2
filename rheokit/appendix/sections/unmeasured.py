"""What was not measured, and what rests on it."""

from ...bench.design import told_alike
from ...bench.flow_curve import FlowCurve
from ...fitting.between_batches import confounded
from ...nomenclature import QUANTITIES, marked, number, written
from ...part.job import FIBRE
from ...paste.material import BATCH_SPREAD
from ...workbook.asked import ASKED, PROPERTIES
from ...workbook.asked_of_paste import OF_FIBRE, OF_PRINT
from ..cells import as_told
from ..document import Block, Paragraph, Points, Section, Table
from ..study import Study
from .corrections import slip_by_bores

TITLE = "What was not measured"
TYPED = 4
"""Digits of a property that is taken, so that 1094 stays what its author typed."""
NEVER = (
    "extensional viscosity, and how far a thread of the paste stretches",
    "thixotropy: how it builds up at rest and breaks down in flow, but for what stands among the properties",
    "normal stress differences",
    "storage and loss modulus against frequency",
    "particle shape, and the whole distribution of sizes, but for a sieve where one was used",
)
"""What no test of a workbook measures."""

OF_THREAD = {"density": "whether the thread stays taut, and how it cools in the air, is not computed"}
"""What is open of a fibre where a property is not known that a print needs for something else, by name."""


def section(study: Study) -> Section:
    """Return the properties that a print or a fibre asks for and no test measured, and what no test here can measure."""
    fibre = study.book.plan.text("job", "kind") == FIBRE
    rows = []
    for name in not_measured(study):
        entry, about = ASKED[PROPERTIES][name], QUANTITIES[name]
        without = OF_THREAD.get(name, entry.without) if fibre else entry.without
        rows.append((entry.words, about.symbol, _taken(study, name), marked(without or "-")))
    blocks: list[Block] = []
    if rows:
        what = "a fibre" if fibre else "a print"
        blocks.append(
            Table(
                "not-measured",
                f"{study.of}: properties of the paste that {what} asks for and that no test of this bench measured.",
                ("property", "symbol", "taken instead", "where nothing is known"),
                tuple(rows),
            )
        )
    blocks += [Paragraph("No test of such a bench measures:"), Points(NEVER)]
    if study.knows("fit") and any(test.nozzle is not None for test in study.fit.tests) and not slip_by_bores(study.fit):
        blocks.append(
            Paragraph(
                "Slip at the wall by the bore was not measured: no readings of several bores tell it, so that slip beside flow in the bulk, which the "
                "law then takes for its own, is open."
            )
        )
    if study.knows("fit") and any(test.kind == FlowCurve.kind for test in study.fit.tests):
        blocks.append(
            Paragraph(
                "Slip at the walls of the rotational instrument, its least torque, inertia and heating are not computed: what each needs stands under “Corrections”."
            )
        )
    batches = {test.batch for test in study.bench.tests if not test.gives} if study.knows("fit") else set()
    if len(batches) == 1:
        blocks.append(
            Paragraph(
                f"How batches differ was not measured: one batch alone was read. A spread of ln stress of {number(BATCH_SPREAD)} from batch to batch is assumed "
                f"(common practice, no source), of the batch read and of the next alike: {number(study.material.sure_spread, 2)} between the "
                "two. Intervals that name no batch are of the batch read, and do not hold the median of batches."
            )
        )
    if study.knows("fit") and (mixed_up := confounded(study.fit.problem)):
        blocks.append(Paragraph(f"How batches differ was hardly measured: {mixed_up}."))
    if study.knows("fit") and told_alike(study.fit.tests):
        blocks.append(
            Paragraph(
                "What moved together was not measured apart: which settings these are, and what that leaves open, stands under “Protocol”."
            )
        )
    return Section(TITLE, tuple(blocks))


def not_measured(study: Study) -> tuple[str, ...]:
    """Return the properties that the job asks for and that no test of the bench measured, by name."""
    measured = study.bench.properties() if study.knows("bench") else {}
    fitted = {} if not study.knows("fit") else study.fit.law.effects
    told = study.knows("fit") and study.fit.tells("static_ratio") and "static_ratio" in study.fit.nuisance
    asked = OF_FIBRE if study.book.plan.text("job", "kind") == FIBRE else OF_PRINT
    return tuple(
        name for name in asked if name not in measured and name not in fitted and not (name == "static_ratio" and told)
    )


def _taken(study, name):
    """Return what is taken of a property that was not measured, with where it comes from."""
    if not study.knows("material"):
        return "nothing"
    value = getattr(study.material.paste, name, None)
    if value is None:
        return "nothing"
    return f"{written(float(value), name, TYPED)} ({as_told(study.material.origin(name))})"
