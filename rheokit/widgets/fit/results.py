"""A bench and a fit as rows and paragraphs for the page; no widget, no number of its own."""

from ... import corrections
from ...bench.force_run import ForceRun
from ...bench.pressure_run import PressureRun
from ...fitting import text as in_text
from ..page.parts import details, paragraph


def about_bench(bench):
    """Return what was tested, and what the reader filled in, as HTML."""
    specimen = bench.specimen
    known = [
        specimen.paste or "paste without a name",
        f"batch {specimen.batch}" if specimen.batch else "",
        str(specimen.date or ""),
    ]
    known += [f"density {specimen.density:.4g} kg/m³" if specimen.density else ""]
    said = paragraph(", ".join(filter(None, known)) + ".")
    if specimen.invented:
        said += paragraph("INVENTED readings, for demonstration: nobody measured them.")
    measured = in_text.properties(bench)
    if measured:
        said += details(f"Properties measured besides the law ({len(measured)})", "".join(map(paragraph, measured)))
    notes = getattr(bench.origin, "notes", ())
    if notes:
        said += details(f"What was not stated and is assumed ({len(notes)})", "".join(map(paragraph, notes)))
    return said


def classical_corrections(bench):
    """Return the classical corrections of the capillary and syringe runs of a bench as HTML, folded; nothing without runs."""
    runs = [test for test in bench.tests if isinstance(test, (PressureRun, ForceRun))]
    if not runs:
        return ""
    about = paragraph("Step by step, to follow beside the fit, which does all of it at once with every uncertainty.")
    folded = "".join(
        details(
            f"{one.name}: {'analysable' if one.analysable else 'not analysable'}",
            f"<div class='scrolls' tabindex='0' role='region' aria-label='{one.name}'>{one._repr_html_()}</div>",
        )
        for one in corrections.all_of(runs)
    )
    return f"<h3>Classical corrections of the runs</h3>{about}{folded}"


def check_rows(fit_result):
    """Return the checks as rows of text, the failed first, the likeliest cause before its consequences."""
    rows = in_text.in_order(fit_result).itertuples()
    return [["passed" if row.passed else "FAILED", row.question, row.comment] for row in rows]


def estimate_rows(fit_result):
    """Return parameters of the law and stresses as rows of text, and those of the apparatus apart."""
    own = len(fit_result.problem.law_class.parameters())
    rows = [[_plain(name), *rest] for name, *rest in in_text.estimates(fit_result)]
    return rows[:own] + in_text.stresses(fit_result), rows[own:]


def _plain(name):
    """Return the name of a parameter in words: model_factor[fall cone] as "model factor, fall cone"."""
    return name.replace("[", ", ").removesuffix("]").replace("_", " ")
