"""What the page says of tests that are typed into it: what was taken, put in place of another one, or refused."""

from ...fitting import text as in_text
from ...nomenclature import capital, written
from ...reading.forms import form_of
from .words import SAVE, counted

PUT_BACK = "What was typed here and not added yet stands here again."
IN_PLACE, TAKE_OUT = "Put it in place of the test that stands there", "Take out the test that stands there"
OF_BENCH, NO_TEST_CHOSEN = "a test of the open bench", "(none chosen)"
CORRECT, TAKE_THIS_OUT = "Correct it in this form", "Take it out of the bench"
NOT_ADDED = "The form holds readings of a {} that are in no test. Add them to the bench, or press 'Empty the table', then choose the test again."
THE_ONLY_TEST = "It is the only test of the bench; start a new bench with another one, or put another one in its place."
LENT = {"density": "kg/m³", "plunger_friction": "N"}
"""What a bench lends to tests that are added to it, with its unit."""
ON_PAGE_ALONE = (
    f" It stands on this page alone, under 'bench folder', and is not saved: the paste that is open keeps what it had. To keep it, open "
    f"'{SAVE}' below and name a new folder; else it is gone when the notebook is closed or run anew."
)
TO_FILL_IN = (
    "The tables to fill in that stand in its folder hold nothing yet. Fill these in with an editor or a spreadsheet, then open the paste "
    "anew; or type here: the first test that is typed takes the place of all of them."
)
UNREAD = (
    "The bench.toml of this paste is filled in by half, or cannot be read: the message on top says what it lacks. Complete it there, then "
    "open the paste anew; or take it out of the folder, and type all of its tests here. What stands in this form stays."
)
NONE_TO_FIT = "Tests to fit: none yet."


def taken(bench, instead_of=None, before=None):
    """Return what was taken last into a bench, what it gives, and what to look at, in words; `before`: the bench before it."""
    *others, test = bench.tests
    said = [f"Taken: {counted(test)}, in place of {instead_of.name}." if instead_of else f"Taken: {counted(test)}."]
    if test.gives:
        said.append(f"It says nothing about the flow law; it gives {_listed(test.properties())}.")
    alike = sum((other.kind, other.label) == (test.kind, test.label) for other in others)
    if alike and not instead_of:
        said.append(
            f"{alike + 1} tests of the bench have this kind and label now, told apart by their files, and all count. If this one was to correct the one before, "
            "take it out, then put it in place of that one."
        )
    given = [name for name in test.gives if name in LENT and instead_of]
    olds = [test for test in before.tests if test is not instead_of] if given else []
    if kept := [new.name for new, old in zip(others, olds, strict=False) if _keeps(new, old, given)]:
        said.append(
            f"Tests added before keep the {_listed(given)} they were typed with: {', '.join(kept)}; put each in place of itself to "
            "take the new one."
        )
    return " ".join(said)


def in_form(test):
    """Return that a test stands in the form, and what to do then, in words."""
    return f"{capital(test.name)} stands in the form below. Correct it there, then press '{IN_PLACE}'."


def not_in_form(test, folder, why):
    """Return why a test cannot be corrected in the form, and where it can, in words."""
    where = f"bench.toml and {test.origin.file} in {folder}, with a text editor or a spreadsheet; then load the page anew and run it"
    return f"{capital(test.name)} cannot be corrected in this form without a loss: {why}. Correct it in {where}."


def table_stays(test, folder):
    """Return where the readings of a test that was taken out still stand, in words."""
    return f" Its readings stay in {folder}, in the file {test.origin.file}."


def taken_out(test, served):
    """Return that a test was taken out, in words; the density that came with it still serves the bench `served`, if any."""
    said = f"Taken out of the bench: {counted(test)}."
    kept = (
        served
        and f" The density typed with it, {written(served.specimen.density, 'density')}, stays that of the bench."
    )
    return said + (kept or "")


def _keeps(test, old, names):
    """Say whether a test asks for what was measured anew and stands at what it had: it was typed with it."""
    asked = {*names}.intersection(form_of(type(test)).dimension_names())
    return not test.gives and any(test.origin.given.get(name) == old.origin.given.get(name) for name in asked)


def _listed(names):
    return " and ".join(name.replace("_", " ") for name in names)


def of_entry_page(fault, is_typed):
    """Return why typed readings cannot go into the open bench, in the words of the page; `is_typed`: such a test was typed before."""
    remedy = f"to correct that test, press '{IN_PLACE}'" if is_typed else "leave this one out"
    return fault.removeprefix("Bench: ").replace("leave one out, or name the file that was meant", remedy)


def nothing_to_fit(bench):
    """Return what a bench without a test of the flow law holds, what that gives, and what to add next, in words."""
    held = "; ".join(counted(test) for test in bench.tests)
    found = "".join(f" {capital(line)}." for line in in_text.properties(bench))
    return (
        f"Taken: {held}.{found} Nothing is fitted yet: add a test that says something about the flow law, such as a "
        "flow curve, a syringe force or a cylinder slump. What is known here serves it."
    )
