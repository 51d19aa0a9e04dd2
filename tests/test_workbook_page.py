"""The page of a workbook: which paste is picked, what is remembered, what another window did, and the projector; no browser."""

import html
import os
import shutil
from pathlib import Path
from types import SimpleNamespace

import altair as alt
import ipywidgets as W
import pandas as pd
import pytest

from rheokit import appendix
from rheokit.errors import DataError
from rheokit.reading.keeping import kept_in
from rheokit.widgets.page import appendix_panel
from rheokit.widgets.page.appendix_panel import NEWER
from rheokit.widgets.page.bound import bound
from rheokit.widgets.page.elements import is_shown
from rheokit.widgets.page.first_panel import FirstPanel
from rheokit.widgets.page.freshness import OVERTAKEN
from rheokit.widgets.page.layout import LAYOUT_STYLE
from rheokit.widgets.page.number_field import NumberField
from rheokit.widgets.page.pictures import Picture
from rheokit.widgets.page.workbook_page import WorkbookPage
from rheokit.workbook import Plan, demo, shelf

DEMO = "olive-stone-paste"


class Small(W.VBox):
    """An explorer of one field and two pictures."""

    def __init__(self, workbook):
        self.bore = NumberField("bore at the tip D [mm]", 1.6, 0.05, 50.0, hint="not known", begin=None)
        bound(self.bore, workbook.plan, "nozzle", "bore")
        self.pictures, self.waited = [Picture("Curve", 300), Picture("Map", 300)], False
        super().__init__([self.bore, *self.pictures])

    def wait(self):
        self.waited = True


class SmallPage(WorkbookPage):
    """A page of it."""

    def explorer_of(self, workbook):
        """Return it, unless it refuses."""
        if "refused" in workbook.name:
            raise DataError("This paste is refused; take another.")
        return Small(workbook)


@pytest.fixture
def pastes(tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_PASTES", str(tmp_path / "pastes"))
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    monkeypatch.delenv("RHEOKIT_FOLDER", raising=False)
    for name in ("mine", "other", "refused"):
        (tmp_path / "pastes" / name).mkdir(parents=True)
        shutil.copy(demo(DEMO) / "bench.toml", tmp_path / "pastes" / name)
    return tmp_path / "pastes"


def test_it_begins_with_a_demo_and_then_with_the_last_one_open(pastes):
    page = SmallPage()
    assert page.workbook.name == DEMO and repr(page) == f"SmallPage of {DEMO}"
    names = [name for name, _ in page.picker.choice.options]
    assert names[:3] == ["mine", "other", "refused"] and f"{DEMO} (demo, invented)" in names
    before = page.explorer
    page.picker.choice.value = str(pastes / "other")
    assert page.workbook.folder == pastes / "other" and before.waited and page._place.children == (page.explorer,)
    assert SmallPage().workbook.name == "other"
    assert SmallPage(pastes / "mine").workbook.name == "mine"


def test_what_is_typed_is_saved_at_once_and_is_there_again(pastes):
    SmallPage(pastes / "mine").explorer.bore.text.value = "2.4"
    assert 'bore = "2.4 mm"' in (pastes / "mine" / "plan.toml").read_text("utf-8")
    assert SmallPage(pastes / "mine").explorer.bore.holds == "2.4"


@pytest.mark.parametrize("spoil", ["gone", "refused", "unreadable"])
def test_a_folder_that_cannot_be_opened_is_said_and_what_was_open_stays(pastes, spoil):
    page = SmallPage(pastes / "mine")
    explorer, bad = page.explorer, pastes / ("refused" if spoil == "refused" else "other")
    if spoil == "gone":
        shutil.rmtree(bad)
    elif spoil == "unreadable":
        (bad / "plan.toml").write_text("[fit\n")
    page.picker.choice.value = str(bad)
    assert f"{bad.name} was not opened" in page.picker.message.value and "role='alert'" in page.picker.message.value
    assert "mine stays below" in page.picker.message.value
    assert page.explorer is explorer and page.picker.choice.value == str(pastes / "mine")
    assert page.open_folder(pastes / "mine") and page.picker.message.value == ""


def test_where_nothing_was_open_before_none_is_said_to_stay(pastes):
    (pastes / "mine" / "plan.toml").write_text("[fit\n")
    page = SmallPage(pastes / "mine")
    said = page.picker.message.value
    assert page.workbook is None and "nothing is open. Correct it and choose it again" in said and "stays" not in said
    (pastes / "mine" / "plan.toml").write_text("[fit]\n")
    page.picker.choice.value = str(pastes / "mine")
    assert page.workbook.name == "mine" and page.picker.message.value == ""


def test_a_list_that_is_looked_at_holds_what_was_made_since(pastes):
    page = SmallPage(pastes / "mine")
    before, opened = page.picker.choice.options, page.explorer
    page.picker.looked_at.looks += 1
    assert page.picker.choice.options is before  # and does not close under the pointer
    shutil.copytree(pastes / "mine", pastes / "since")
    shutil.rmtree(pastes / "other")
    page.picker.looked_at.looks += 1
    names = [name for name, _ in page.picker.choice.options]
    assert "since" in names and "other" not in names
    assert page.explorer is opened and page.picker.choice.value == str(pastes / "mine")


def test_a_mistyped_entry_is_told_with_the_nearest(pastes):
    (pastes / "mine" / "plan.toml").write_text('[machine]\nfil_length = "60 mm"\n')
    said = SmallPage(pastes / "mine").picker.faults.value
    assert (
        "[machine], &#x27;fil_length&#x27; is no entry of it; did you mean &#x27;fill_length&#x27;? Correct its name"
        in said
    )


def two_windows(pastes):
    page = SmallPage(pastes / "mine")
    page.explorer.bore.text.value = "2"
    other = Plan.read(pastes / "mine")
    other.put("nozzle", "bore", "3 mm")
    other.put("nozzle", "land_length", "9 mm")
    other.save()
    page.explorer.bore.text.value = "4"
    assert "changed in another window" in page.picker.message.value and is_shown(page.picker._decide)
    assert Plan.read(pastes / "mine").text("nozzle", "bore") == "3 mm", "nothing is written over"
    return page


def test_the_other_windows_change_is_taken(pastes):
    page = two_windows(pastes)
    page.picker.theirs.click()
    assert page.explorer.bore.holds == "3" and not is_shown(page.picker._decide) and not page.picker.message.value


def test_or_written_over_knowingly(pastes):
    page = two_windows(pastes)
    page.picker.mine.click()
    plan = Plan.read(pastes / "mine")
    assert (plan.text("nozzle", "bore"), plan.text("nozzle", "land_length")) == ("4 mm", "9 mm")
    assert page.explorer.bore.holds == "4" and not is_shown(page.picker._decide)


@pytest.fixture
def whole(pastes):
    """Give a paste whose readings can be read."""
    shutil.copytree(demo(DEMO), pastes / "mine", dirs_exist_ok=True, ignore=shutil.ignore_patterns("plan.toml"))
    return pastes / "mine"


def changed_by_hand(folder, what):
    table = next(one.name for one in sorted(folder.iterdir()) if one.suffix == ".csv")
    file = folder / {"plan": "plan.toml", "readings": "bench.toml", "a table": table}[what]
    file.write_text(file.read_text("utf-8").replace('"2 mm"', '"3 mm"') + "# changed\n", "utf-8")


@pytest.mark.parametrize("what", ["plan", "readings", "a table"])
def test_what_another_window_changed_is_said_at_the_next_look(whole, what):
    page = SmallPage(whole)
    page.explorer.bore.text.value = "2"
    page.picker.looked_at.looks += 1
    assert not page.picker.message.value and not is_shown(page.picker._decide) and OVERTAKEN not in page._dom_classes
    changed_by_hand(whole, what)
    page.picker.looked_at.looks += 1
    assert "what stands below is older" in page.picker.message.value and OVERTAKEN in page._dom_classes
    assert is_shown(page.picker.theirs) and is_shown(page.picker._decide) and not is_shown(page.picker.mine)
    before = page.workbook
    page.picker.theirs.click()
    assert page.workbook is not before and not page.picker.message.value and not is_shown(page.picker._decide)
    assert page.explorer.bore.holds == ("3" if what == "plan" else "2") and OVERTAKEN not in page._dom_classes


@pytest.mark.parametrize("what", ["readings", "a table"])
def test_no_answer_of_older_readings_passes_for_a_new_one_though_nobody_looked(whole, what):
    page = SmallPage(whole)
    changed_by_hand(whole, what)
    page.explorer.bore.text.value = "2"
    assert "what stands below is older" in page.picker.message.value and OVERTAKEN in page._dom_classes
    page.explorer.bore.text.value = "3"
    assert Plan.read(whole).text("nozzle", "bore") == "3 mm", "what is typed is saved all the same"
    assert "what stands below is older" in page.picker.message.value and is_shown(page.picker.theirs)
    page.picker.theirs.click()
    page.explorer.bore.text.value = "4"
    assert not page.picker.message.value and OVERTAKEN not in page._dom_classes


def test_who_asks_for_a_prediction_of_older_readings_finds_on_top_what_the_refusal_names(whole):
    page = SmallPage(whole)
    panel = page.outcomes.made
    changed_by_hand(whole, "a table")
    panel.predict()
    assert "What stands in the folder was changed" in panel.kept.value
    assert "what stands below is older" in page.picker.message.value and is_shown(page.picker.theirs)


def test_an_appendix_of_newer_readings_than_the_page_shows_says_so(whole, monkeypatch):
    page, made = (
        SmallPage(whole),
        SimpleNamespace(folder=whole / "appendix", lacks="", forbids="", told=(), invented="INVENTED numbers."),
    )
    monkeypatch.setattr(appendix, "write", lambda book: made)
    page.appendix.made.make()
    assert NEWER not in html.unescape(page.appendix.made.message.value)
    assert "INVENTED numbers." in page.appendix.made.message.value
    changed_by_hand(whole, "a table")
    monkeypatch.setattr(appendix_panel, "A_SECOND_PRESS", 0.0)
    page.appendix.made.make()
    assert NEWER in html.unescape(page.appendix.made.message.value)
    assert "what stands below is older" in page.picker.message.value


def test_readings_that_could_not_be_read_and_were_mended_since_are_told(pastes):
    page = SmallPage(pastes / "mine")
    page.explorer.bore.text.value = "2"
    page.picker.looked_at.looks += 1
    assert not page.picker.message.value
    shutil.copytree(demo(DEMO), pastes / "mine", dirs_exist_ok=True)
    page.picker.looked_at.looks += 1
    assert "what stands below is older" in page.picker.message.value


def test_a_file_that_was_only_touched_holds_what_it_held(whole):
    page = SmallPage(whole)
    for one in whole.iterdir():
        os.utime(one)
    page.picker.looked_at.looks += 1
    assert not page.picker.message.value


def test_the_paste_chosen_last_anywhere_is_opened_and_is_said_where_a_page_showed_another(pastes):
    class OtherPage(SmallPage):
        pass

    SmallPage(pastes / "mine")
    OtherPage(pastes / "other")
    page = SmallPage()
    said = page.picker.message.value
    assert page.workbook.name == "other" and "This one showed mine before" in said and "role='alert'" not in said
    assert not SmallPage().picker.message.value and not OtherPage().picker.message.value


def test_a_demo_is_never_written_and_is_put_back(pastes):
    folder = demo(DEMO)
    before = {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()}
    page = SmallPage(folder)
    came = page.explorer.bore.holds
    page.explorer.bore.text.value = "0.9"
    assert SmallPage(folder).explorer.bore.holds == "0.9" and is_shown(page.picker.as_came)
    page.picker.as_came.click()
    assert page.explorer.bore.holds == came
    assert {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()} == before


def test_a_new_paste_is_made_and_opened(pastes):
    page = SmallPage(pastes / "mine")
    page.picker.new.unfold()
    panel = page.picker.new.made
    panel.make_empty.click()
    assert "Name a folder" in panel.made.value
    panel.target.value = "clay"
    panel.make_empty.click()
    assert page.workbook.folder == pastes / "clay" and page.explorer.bore.holds == ""
    assert "clay" in dict(page.picker.choice.options) and shelf.last().name == "clay"
    assert panel.target.value == "" and "Name a folder" not in panel.made.value
    assert not page.picker.new.is_open and "clay is made and open" in page.picker.message.value
    page.picker.new.unfold()
    panel.target.value = "clay"
    panel.make_empty.click()
    assert "There is already a" in panel.made.value
    panel.target.value = "slip"
    panel.make.click()
    assert page.workbook.name == "slip" and (pastes / "slip" / "bench.toml").exists()


def projected(page):
    """Return the pictures that are left by the rule of projector mode, which the page's styles hold."""
    assert ".rheokit-page.projector .not-projected { display: none; }" in LAYOUT_STYLE
    return [one for one in page.explorer.pictures if "not-projected" not in one._dom_classes]


def test_the_projector_shows_one_picture_and_is_remembered(pastes):
    page = SmallPage(pastes / "mine")
    curve, map_ = page.explorer.pictures
    assert "projector" not in page._dom_classes and not is_shown(page.picker.picture)
    page.picker.projector.value = True
    assert "projector" in page._dom_classes and projected(page) == [curve] and is_shown(page.picker.picture)
    page.picker.picture.value = 1
    assert projected(page) == [map_]
    again = SmallPage(pastes / "other")
    assert again.picker.projector.value and projected(again) == again.explorer.pictures[:1]
    again.picker.projector.value = False
    assert "projector" not in again._dom_classes


def test_the_same_as_a_script_is_written_when_it_is_unfolded_and_after_every_change(pastes, monkeypatch):
    monkeypatch.setattr(
        "rheokit.workbook.Workbook.script", lambda self: f"bore = {self.plan.text('nozzle', 'bore')!r} < 3"
    )
    page = SmallPage(pastes / "mine")
    assert page.script.inside is None
    page.script.unfold()
    assert page.script.made.copy.text == "bore = '' < 3" and "&lt; 3" in page.script.made.shown.value
    page.explorer.bore.text.value = "2"
    assert page.script.made.copy.text == "bore = '2 mm' < 3"
    page.open_folder(pastes / "other")
    assert page.script.made.copy.text == "bore = '' < 3"


def test_a_script_that_cannot_be_written_says_why_and_leaves_nothing_to_copy(pastes, monkeypatch):
    page = SmallPage(pastes / "mine")
    page.script.unfold()

    def refuse(self):
        raise DataError("plan.toml, [nozzle]: it < cannot be")

    monkeypatch.setattr("rheokit.workbook.Workbook.script", refuse)
    page.explorer.bore.text.value = "2"
    assert page.script.made.copy.text == "" and "it &lt; cannot be" in page.script.made.shown.value


def test_pictures_are_kept_in_the_folder_and_those_of_a_demo_elsewhere(pastes):
    page = SmallPage(pastes / "mine")
    assert page.keeper.folder == pastes / "mine"
    page.open_folder(demo(DEMO))
    assert page.keeper.folder == shelf.place_of_plan(demo(DEMO)).parent


def test_a_disk_that_refuses_is_said_and_the_next_change_tries_again(pastes, monkeypatch):
    page = SmallPage(pastes / "mine")

    def refuse(self, over=False):
        raise PermissionError(13, "Permission denied", str(pastes))

    with monkeypatch.context() as broken:
        broken.setattr(Plan, "save", refuse)
        page.explorer.bore.text.value = "2"
    assert "Not saved: Permission denied" in page.picker.message.value and not is_shown(page.picker._decide)
    page.explorer.bore.text.value = "3"
    assert page.picker.message.value == "" and Path(pastes / "mine" / "plan.toml").read_text("utf-8").count("3 mm") == 1


def test_a_picture_is_kept_in_the_folder_that_is_open_with_its_plan_and_that_of_a_demo_elsewhere(pastes, tmp_path):
    page, drawn = (
        SmallPage(pastes / "mine"),
        alt.Chart(pd.DataFrame({"x": [1.0]})).mark_point().encode(alt.X("x:Q", title="x [-]")),
    )
    page.explorer.bore.text.value = "2.4"
    page.explorer.pictures[0].put(drawn.properties(title="Curve"))
    page.explorer.pictures[0].keep_line.button.click()
    (one,), _ = kept_in(pastes / "mine")
    assert (one.page, one.title) == ("SmallPage", "Curve") and 'bore = "2.4 mm"' in one.plan
    assert [kept.title for kept in SmallPage(pastes / "mine").keeper.results] == ["Curve"]
    page.open_folder(demo(DEMO))
    assert page.keeper.results == []
    page.explorer.pictures[1].put(drawn.properties(title="Map"))
    page.explorer.pictures[1].keep_line.button.click()
    assert not (demo(DEMO) / "kept").exists()
    assert [kept.title for kept in kept_in(tmp_path / "state" / "demos" / DEMO)[0]] == ["Map"]


def test_what_cannot_be_in_a_plan_is_told_on_top_of_the_page(pastes):
    (pastes / "mine" / "plan.toml").write_text('[machine]\nfil_length = "5 cm"\n', encoding="utf-8")
    page = SmallPage(pastes / "mine")
    assert "fil_length" in page.picker.faults.value and "fill_length" in page.picker.faults.value
    page.explorer.bore.text.value = "2"
    assert "fil_length" in page.picker.faults.value, "a save does not take it away"
    page.open_folder(pastes / "other")
    assert page.picker.faults.value == ""


def test_a_paste_that_is_not_there_any_more_is_missed_by_name(pastes):
    SmallPage(pastes / "mine")
    (pastes / "mine").rename(pastes / "elsewhere")
    page = SmallPage()
    assert page.workbook.name == DEMO
    assert "mine, which was open last, is not there any more" in page.picker.message.value


def test_a_folder_that_was_renamed_beneath_a_page_is_told_and_not_made_again(pastes):
    page = SmallPage(pastes / "mine")
    (pastes / "mine").rename(pastes / "elsewhere")
    page.explorer.bore.text.value = "2"
    assert "is not there any more" in page.picker.message.value and not (pastes / "mine").exists()
    chart = alt.Chart(pd.DataFrame({"x": [1.0]})).mark_point().encode(alt.X("x:Q", title="x [-]"))
    page.explorer.pictures[0].put(chart.properties(title="Curve"))
    page.explorer.pictures[0].keep_line.button.click()
    assert "is not there any more" in page.explorer.pictures[0].keep_line.message.value
    assert not (pastes / "mine").exists()


def test_a_folder_that_was_renamed_is_missed_at_the_next_look(pastes):
    page = SmallPage(pastes / "mine")
    (pastes / "mine").rename(pastes / "elsewhere")
    page.picker.looked_at.looks += 1
    assert "mine, which was open last, is not there any more" in page.picker.message.value
    assert not is_shown(page.picker._decide)


def test_what_was_corrected_in_its_field_is_told_no_more(pastes):
    (pastes / "mine" / "plan.toml").write_text('[nozzle]\nbore = "1,7 kPa"\nland_length = "2 N"\n', encoding="utf-8")
    page = SmallPage(pastes / "mine")
    assert "1,7 kPa" in page.picker.faults.value
    page.explorer.bore.text.value = "1,75"
    assert "1,7 kPa" not in page.picker.faults.value and "2 N" in page.picker.faults.value


@pytest.mark.parametrize("name", ["../../mine", "a:b", "what?", ".hidden", "dot."])
def test_a_new_paste_has_a_name_that_every_system_takes(pastes, name):
    page = SmallPage(pastes / "mine")
    panel = page.picker.new.made
    panel.target.value = name
    panel.make_empty.click()
    assert "cannot be the name of a folder" in panel.made.value
    panel.target.value = "hazel"
    panel.make_empty.click()
    assert panel.made.value.count("cannot") == 0 and page.workbook.name == "hazel"


def test_what_makes_a_paste_has_room_for_its_words_in_the_narrowest_column(tmp_path):
    """At 1280 px a button read "... or read a fil"."""
    panel = FirstPanel(tmp_path, lambda folder: None)
    for button in (panel.make, panel.make_empty):
        assert 7.6 * len(button.description) + 20 <= 340, button.description
    assert 7.6 * (len(panel.target.description) + len(panel.target.placeholder)) + 30 <= 460


def small_appendix(monkeypatch):
    """Let an appendix be a few words, where what it says does not matter."""
    from rheokit.appendix import writing
    from rheokit.appendix.document import Document, Paragraph, Section
    from rheokit.progress import step

    def appendix_of(study, date):
        book = study.book
        step("composing < it")
        return Document(
            book.name, (), date, (Section("One", (Paragraph(book.plan.text("nozzle", "bore") or "none"),)),)
        )

    monkeypatch.setattr(writing, "appendix_of", appendix_of)


def test_one_press_writes_the_appendix_of_the_paste_that_is_open(pastes, monkeypatch):
    small_appendix(monkeypatch)
    page = SmallPage(pastes / "mine")
    assert page.appendix.inside is None
    page.appendix.unfold()
    panel, told = page.appendix.made, []
    panel.message.observe(lambda change: told.append(change.new), "value")
    page.explorer.bore.text.value = "2"
    panel.button.click()
    assert "Making it: composing &lt; it …" in told[0] and "Making it: setting the PDF …" in told[2]
    assert f"are written into &#x27;{pastes / 'mine' / 'appendix'}&#x27;." in told[-1] and "role='status'" in told[-1]
    assert "2 mm" in (pastes / "mine" / "appendix" / "appendix.html").read_text("utf-8")
    assert not panel.button.disabled
    page.open_folder(pastes / "other")
    assert page.appendix.made is not panel and not page.appendix.made.message.value
    page.appendix.made.button.click()
    assert (pastes / "other" / "appendix" / "appendix.pdf").is_file()


def test_the_appendix_of_a_demo_goes_into_the_persons_own_folder(pastes, monkeypatch):
    small_appendix(monkeypatch)
    page = SmallPage(demo(DEMO))
    page.appendix.unfold()
    page.appendix.made.button.click()
    assert (shelf.place_of_plan(demo(DEMO)).parent / "appendix" / "appendix.pdf").is_file()
    assert not (demo(DEMO) / "appendix").exists()


def test_why_there_is_no_appendix_is_said_below_the_button(pastes, monkeypatch):
    small_appendix(monkeypatch)
    page = SmallPage(pastes / "mine")
    page.appendix.unfold()
    panel = page.appendix.made
    (pastes / "mine" / "appendix").mkdir()
    (pastes / "mine" / "appendix" / "thesis.txt").write_text("mine")
    panel.button.click()
    assert "role='alert'" in panel.message.value and "The appendix was not made: " in panel.message.value
    assert "holds files and no appendix" in panel.message.value and not panel.button.disabled
    (pastes / "mine" / "appendix" / "thesis.txt").unlink()
    monkeypatch.setattr("rheokit.appendix.writing.pdf", lambda document: 1 / 0)
    panel.button.click()
    assert "The appendix was not made: ZeroDivisionError: division by zero" in panel.message.value
    assert not any((pastes / "mine" / "appendix").iterdir())


def test_no_appendix_is_made_of_a_plan_that_another_window_changed(pastes, monkeypatch):
    small_appendix(monkeypatch)
    page = SmallPage(pastes / "mine")
    page.appendix.unfold()
    (pastes / "mine" / "plan.toml").write_text('[nozzle]\nbore = "3 mm"\n')
    page.appendix.made.button.click()
    assert "was changed since it was read, elsewhere" in page.appendix.made.message.value
