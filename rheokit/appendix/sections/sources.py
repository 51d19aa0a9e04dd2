"""Where every formula used is from, and how far each was verified."""

from ...checking import Example
from ...corrections.capillary import SOURCE as YOUNG
from ...corrections.capillary import capillary_share
from ...corrections.inertia import SOURCE as HAGENBACH
from ...errors import DataError
from ...flow.converging import FORMULA, MODEL
from ...limits import LIMITS, judge
from ...limits.judgement import NOT_ASKED, NOT_JUDGED
from ...nomenclature import marked
from ...release import cite
from ..document import Block, Paragraph, Section, Table
from ..formulae_of_plan import limits_told_by, predicted_formulae
from ..predicted_symbols import OF
from ..study import Study
from .corrections import OF_PLATE, OF_RUN, PLATE, inertia_formula

WHERE = "Where it can be had: from the repository that it came from; its citation file (CITATION.cff) names no public address and no DOI."
TITLE = "Sources of the formulae"
MEMORY, PRACTICE, DERIVED, CITED = (
    "from memory: to be read again before it is cited",
    "common practice, no source",
    "definition, balance or own computation: no source needed",
    "as cited; whether it was read again is not said",
)


def section(study: Study) -> Section:
    """Return one row a formula: law, tests, corrections, predictions, limits, with how far its source was verified."""
    rows = formulae(study)
    blocks: list[Block] = (
        [
            Table(
                "sources",
                f"{study.paste}: {len(rows)} formulae that were used, where each is from, how far that source was verified, and against what numbers the code is held.",
                ("of", "name", "formula", "source", "how far verified", "worked example in the tests"),
                tuple(rows),
                "Tests are adapted from the standards named, and are not carried out according to them: geometry, materials and conditions differ.",
                row_names=False,
            )
        ]
        if rows
        else [Paragraph("No formula was used: no test could be read, and no law is fitted.")]
    )
    blocks.append(Paragraph(f"How this software is cited: {cite()} {WHERE}"))
    return Section(TITLE, tuple(blocks))


def formulae(study: Study) -> list[tuple[str, ...]]:
    """Return one row a formula that was used: what it is of, name, formula, source, how far verified, worked example."""
    rows = []
    if study.knows("fit"):
        law_class = study.fit.problem.law_class
        plain = getattr(law_class, "base", law_class)
        rows.append(_row("law", law_class.name, law_class.equation(), plain.source, plain.example))
        rows += [
            _row("law", condition.name.replace("_", " "), condition.rule, condition.source, ())
            for condition, _ in law_class.conditions
        ]
    if study.knows("bench"):
        for kind in dict.fromkeys(type(test) for test in study.bench.tests):
            rows.append(
                _row("test", kind.kind, kind.formula or "see the test", kind.source or "not stated", kind.example)
            )
        rows += [*_of_flow(study), *_corrections(study)]
    rows += [
        (OF, one.name, marked(one.formula), one.source, verified(one.source), one.held)
        for one in predicted_formulae(study)
    ]
    rows += [
        _row("limit", name, LIMITS[name].formula, LIMITS[name].source, LIMITS[name].example) for name in _limits(study)
    ]
    return rows


def _limits(study):
    """Return the names of the limits whose formulae were used: those judged, and those by which numbers of the part are told."""
    judged = judge(study.sure_case) if study.knows("case") else None
    used = (
        []
        if judged is None
        else [one.Index for one in judged.itertuples() if one.verdict not in (NOT_ASKED, NOT_JUDGED)]
    )
    return dict.fromkeys((*used, *limits_told_by(study)))  # what could not be judged used no formula


def verified(source: str) -> str:
    """Return how far a source was verified, by what it says of itself."""
    told = source.lower()
    said = [
        words
        for words, tags in ((MEMORY, ("from memory", "not read", "not verified")), (PRACTICE, ("common practice",)))
        if any(tag in told for tag in tags)
    ]
    if said:
        return "; ".join(said)
    plain = (
        "balance",
        "definition",
        "by hand",
        "exact",
        "computed for the project",
        "the readings",
        "law",
        "index to calibrate",
        "von mises",
    )
    return DERIVED if any(word in told for word in plain) else CITED


def _row(of, name, formula, source, example):
    first = example if isinstance(example, Example) else example[0] if example else None
    return (
        of,
        name,
        formula,
        source,
        verified(source),
        first.source if first else "-",
    )


def _of_flow(study):
    """Return the formulae of the flow that are used beside those of tests and limits."""
    runs = [test for test in study.fit.tests if test.nozzle is not None] if study.knows("fit") else []
    if any(run.end_correction == "formula" for run in runs) or study.knows("case"):
        yield _row("flow", "converging flow", marked(FORMULA), f"{MODEL} computed for the project", ())
    if not study.knows("fit"):
        return
    known = study.bench.properties().get("density") or study.bench.stated().get("density")
    if runs and known is not None:
        yield _row("correction", "inertia", inertia_formula(), HAGENBACH, ())
    if study.knows("material") and study.material.paste.surface_tension is not None:
        kinds = capillary_share(study.fit.tests, study.material.paste.surface_tension)
        for kind in kinds:
            yield _row("correction", f"surface tension ({kind})", OF_PLATE if kind == PLATE else OF_RUN, YOUNG, ())


def _corrections(study):
    try:
        found = study.classical
    except DataError:
        return []
    return [_row("correction", one.name, one.formula, one.source, ()) for one in found if one.analysable]
