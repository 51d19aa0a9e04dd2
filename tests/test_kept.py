"""What stays of a page: pictures kept in the notebook and in the folder, and the last result of a page that is gone."""

import asyncio
import base64
import csv
import os
import re
import tomllib
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from xml.etree import ElementTree

import altair as alt
import clock
import pandas as pd
import pytest

import rheokit as rk
from rheokit.charts import picture_numbers, static_of
from rheokit.reading.keeping import Kept, keep, kept_in
from rheokit.widgets.page import output
from rheokit.widgets.page import rest as resting
from rheokit.widgets.page.elements import result, show
from rheokit.widgets.page.frame import Page
from rheokit.widgets.page.freshness import Answer
from rheokit.widgets.page.keeper import on_view
from rheokit.widgets.page.kept_html import MOST_ROWS, figure, kept_html
from rheokit.widgets.page.pictures import Picture
from rheokit.widgets.page.strip import Strip
from rheokit.workbook import shelf

WHEN = datetime(2026, 3, 4, 5, 6, 7)
ROWS = pd.DataFrame(
    {"speed": [1.0, 2.0, 4.0], "force": [20.0, 25.0, 31.0], "low": [18.0, 22.0, 27.0], "high": [22.0, 28.0, 36.0]}
)
HOSTILE = 'Force <script>alert(1)</script> & "F" ../../x\ud83d $a$ \x7f'


def chart(title="Force against speed", words="From 20 N at 1 mm/s to 31 N at 4 mm/s."):
    x = alt.X("speed:Q", title="speed v [mm/s]")
    y = alt.Y("force:Q", title="force F [N]")
    band = alt.Chart(ROWS).mark_area().encode(x, alt.Y("low:Q", title="force F [N]"), alt.Y2("high:Q"))
    line = alt.Chart(ROWS).mark_line().encode(x, y)
    return alt.layer(band, line, line.mark_text().encode(text="force:N")).properties(title=title, description=words)


@pytest.fixture
def notebook(monkeypatch):
    """Return what the outputs of a notebook hold, by their id."""
    held = {}

    def shown(bundle, raw, display_id=None):
        if display_id:
            held[display_id] = bundle["text/html"]

    monkeypatch.setattr(output, "display", shown)
    monkeypatch.setattr(output, "update_display", shown)
    monkeypatch.setattr("rheokit.widgets.page.frame.display", lambda bundle, raw: held.setdefault("page", bundle))
    return held


@pytest.fixture
def page(notebook):
    """Return a page with an answer and a picture, as a notebook shows it."""
    picture, answer = Picture("Force against speed", 300), Answer()
    page = Page([answer, picture])
    page.answer, page.picture = answer, picture
    answer.value = result("25 N at 2 mm/s")
    picture.put(chart())
    page._ipython_display_()
    return page


@pytest.mark.slow
@pytest.mark.parametrize("name", ["FitPage", "NozzlePage", "RegionPage", "RecipePage", "FibrePage"])
def test_every_picture_of_every_page_is_kept(notebook, name):
    page = getattr(rk.widgets, name)(shelf.demo("gelatin-dope-40" if name == "FibrePage" else "olive-stone-paste"))
    pictures = [one for one, _ in on_view(page) if isinstance(one, Picture)]
    assert pictures
    for picture in pictures:
        assert "Picture, numbers and inputs are written" in press(picture), picture.title
    assert all(one.inputs for one in page.keeper.results)


def press(picture):
    picture.keep_line.button.click()
    return re.sub(r"<.*?>", "", picture.keep_line.message.value)


def stored(page):
    """Store the last result of a page, and return in how many steps."""
    steps, count, done = page.keeper.store(), 0, None
    with suppress(StopIteration):
        while True:
            done = steps.send(done)()
            count += 1
    return count


def kept_and_last(notebook):
    return [html for place, html in notebook.items() if place != "page"]


# --- a picture apart from its page -----------------------------------------------------------------------------------


def test_the_numbers_of_a_picture_have_units_and_stand_once():
    heads, rows = picture_numbers(chart().to_dict())
    assert heads == ["drawn as", "speed v [mm/s]", "force F, low [N]", "force F, high [N]", "force F [N]"]
    assert rows[0] == ["band", 1.0, 18.0, 22.0, None]
    assert rows[3] == ["line", 1.0, None, None, 20.0]
    assert len(rows) == 6


def test_a_picture_is_an_svg_with_its_title_and_words():
    spec = chart("F < 31 N", "a & b").to_dict()
    spec["datasets"] = {
        name: [*rows, {"speed": float("nan")}] for name, rows in spec["datasets"].items()
    }  # as where it moved
    drawn = ElementTree.fromstring(static_of(spec))
    assert drawn.attrib["role"] == "img"
    assert [one.text for one in drawn[:2]] == ["F < 31 N", "a & b"]
    assert "http" not in re.sub(r'xmlns(:\w+)?="[^"]*"', "", static_of(spec))


# --- in the folder ----------------------------------------------------------------------------------------------------


def kept(**changed):
    given = {
        "page": "NozzlePage", "title": "Force against speed", "when": WHEN, "svg": "<svg/>", "words": "20 N", "heads": ["v [mm/s]", "F [N]"],
        "rows": [[1.0, 20.0], [2.0, None]], "inputs": [["bore D", "1.6 mm", "taken as exact", "assumed: typed"]], "plan": '[nozzle]\nbore = "1.6 mm"\n',
    }  # fmt: skip
    return Kept(**given | changed)


def test_what_is_kept_is_a_folder_of_its_own_and_reads_back(tmp_path):
    one, other = keep(kept(), tmp_path), keep(kept(invented=True), tmp_path)
    assert one.folder == tmp_path / "kept" / "force-against-speed-2026-03-04-050607"
    assert other.folder == tmp_path / "kept" / "force-against-speed-2026-03-04-050607-2"
    assert sorted(os.listdir(one.folder)) == ["inputs.toml", "numbers.csv", "picture.svg"]
    assert list(csv.reader((one.folder / "numbers.csv").read_text().splitlines())) == [
        ["v [mm/s]", "F [N]"],
        ["1.0", "20.0"],
        ["2.0", ""],
    ]
    about = tomllib.loads((one.folder / "inputs.toml").read_text())
    assert about["input"] == [
        {"words": "bore D", "value": "1.6 mm", "interval": "taken as exact", "origin": "assumed: typed"}
    ]
    assert about["plan"]["text"] == kept().plan
    found, complaints = kept_in(tmp_path)
    assert [one.invented for one in found] == [False, True] and not complaints
    assert found[0] == kept(rows=[["1.0", "20.0"], ["2.0", ""]])


def test_hostile_names_stay_inside_the_folder_and_read_back(tmp_path):
    one = keep(kept(title=HOSTILE, words=HOSTILE, plan=HOSTILE, heads=[HOSTILE], rows=[['=1+1"\n,']]), tmp_path)
    assert one.folder.parent == tmp_path / "kept"
    (found,), _ = kept_in(tmp_path)
    whole = HOSTILE.replace("\ud83d", "\\ud83d")
    assert (found.title, found.words, found.plan) == (whole, whole, whole)
    assert found.rows == [['=1+1"\n,']]
    assert keep(kept(title="///"), tmp_path).folder.name == "picture-2026-03-04-050607"


def test_what_was_spoiled_is_told_and_the_rest_is_read(tmp_path):
    spoiled = keep(kept(), tmp_path).folder
    (spoiled / "inputs.toml").write_text("page = ")
    without = keep(kept(), tmp_path).folder
    (without / "picture.svg").unlink()
    keep(kept(title="whole"), tmp_path)
    found, complaints = kept_in(tmp_path)
    assert [one.title for one in found] == ["whole"]
    assert len(complaints) == 2
    assert "is not as it was kept" in complaints[0] and str(spoiled) in complaints[0]
    assert kept_in(tmp_path / "nowhere") == ([], [])


def test_a_folder_that_refuses_is_said_with_what_to_do(tmp_path):
    (tmp_path / "kept").write_text("a file in the way")
    with pytest.raises(rk.DataError, match=r"kept' is a file, .* rename it, then keep the picture again"):
        keep(kept(), tmp_path)
    with pytest.raises(rk.DataError, match="a part of the path is a file"):
        keep(kept(), tmp_path / "kept" / "below")
    assert keep(kept(), tmp_path / "not" / "yet").folder.parent == tmp_path / "not" / "yet" / "kept"


def test_a_write_that_is_cut_off_leaves_nothing_that_is_read(tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("rheokit.reading.saving._write", full)
    with pytest.raises(rk.DataError, match="the disk is full"):
        keep(kept(), tmp_path)
    assert kept_in(tmp_path) == ([], [])


def test_a_bench_with_kept_pictures_is_the_same_bench(tmp_path):
    source = Path(rk.__file__).parent.parent / "data" / "olive-stone-paste"
    for path in source.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    before = rk.fit(rk.HerschelBulkley, rk.read_bench(tmp_path)).table
    keep(kept(), tmp_path)
    assert rk.fit(rk.HerschelBulkley, rk.read_bench(tmp_path)).table.equals(before)


# --- on the page and in the notebook ----------------------------------------------------------------------------------


def test_a_kept_picture_is_in_the_notebook_and_in_the_folder(page, notebook, tmp_path):
    page.keeper.into(tmp_path, lambda: "[nozzle]\n")
    told = press(page.picture)
    assert told.startswith("Kept in this notebook: save it. Picture, numbers and inputs are written into ")
    (one,), _ = kept_in(tmp_path)
    assert str(one.folder) in told and one.plan == "[nozzle]\n" and one.page == "Page"
    html = kept_and_last(notebook)[0]
    source = re.search(r'src="data:image/svg\+xml;base64,([^"]*)"', html)[1]
    assert base64.b64decode(source).decode() == one.svg
    assert "From 20 N at 1 mm/s to 31 N" in html and "<td>36</td>" in html and "INVENTED" not in html
    press(page.picture)
    assert kept_and_last(notebook)[0].count("<img") == 2


def test_what_is_taken_out_of_the_notebook_stays_in_the_folder(page, notebook, tmp_path):
    page.keeper.into(tmp_path)
    press(page.picture)
    page.keeper._rows.children[0].children[1].click()
    assert "<img" not in kept_and_last(notebook)[0]
    assert len(kept_in(tmp_path)[0]) == 1


def test_what_was_kept_is_shown_again_by_the_same_page_alone(notebook, tmp_path):
    keep(kept(page="Page"), tmp_path)
    keep(kept(page="AnotherPage"), tmp_path)
    page = Page([])
    page.keeper.into(tmp_path)
    page._ipython_display_()
    assert kept_and_last(notebook)[0].count("<img") == 1


def test_a_page_without_a_folder_keeps_in_the_notebook_alone(page, notebook):
    assert press(page.picture) == "Kept in this notebook: save it."
    assert "<img" in kept_and_last(notebook)[0]


def test_a_folder_that_refuses_is_said_beside_the_button_and_the_notebook_has_the_picture(page, notebook, tmp_path):
    page.keeper.into(tmp_path)
    (tmp_path / "kept").write_text("in the way")
    told = press(page.picture)
    assert told.startswith("Kept in this notebook: save it. Into the folder it could not be written: ")
    assert "role='alert'" in page.picture.keep_line.message.value
    assert "<img" in kept_and_last(notebook)[0]


def test_an_old_picture_and_none_at_all_are_not_kept(page):
    page.picture.expire()
    assert "wait until it is computed anew" in press(page.picture)
    page.picture.clear()
    assert "there is no picture to keep yet" in press(page.picture)
    assert page.keeper.results == []


def test_invented_numbers_are_called_so_wherever_they_stand(page, notebook):
    page.picture.put(chart(title="Force, INVENTED readings"))
    press(page.picture)
    assert "INVENTED numbers" in kept_and_last(notebook)[0]


def test_hostile_words_are_shown_as_text():
    html = kept_html(
        [kept(title=HOSTILE, words=HOSTILE, heads=[HOSTILE], rows=[[HOSTILE]], inputs=[[HOSTILE] * 4])], "x"
    )
    assert "<script" not in html
    assert 'alt="Force &lt;script&gt;' in html
    html.encode()


def test_a_picture_is_told_by_its_title_once():
    told = figure("<svg/>", "Flow curve", "Flow curve of a paste.")
    assert 'alt="Flow curve of a paste."' in told
    assert 'alt="Flow curve. Stress against rate."' in figure("<svg/>", "Flow curve", "Stress against rate.")


def test_many_rows_are_thinned_and_it_says_so():
    html = kept_html([kept(heads=["drawn as", "x"], rows=[["line", k] for k in range(500)])], "x")
    assert html.count("<td>line</td>") <= MOST_ROWS
    assert "24 of 500 rows, evenly chosen" in html


def test_the_last_result_is_what_is_on_view(page, notebook):
    hidden = Picture("Hidden", 100)
    hidden.put(chart())
    page.children = [*page.children, hidden]
    show(hidden, False)
    assert [one for one, _ in on_view(page)] == [page.answer, page.picture]
    assert stored(page) == 1  # a step a picture
    last = kept_and_last(notebook)[1]
    assert last.count("<img") == 1 and "25 N at 2 mm/s" in last and "Last result, " in last


def test_a_strip_says_the_last_result_in_short(page, notebook):
    strip = Strip()
    strip.answer.say("25 N")
    page.children = [strip, *page.children]
    stored(page)
    last = kept_and_last(notebook)[1]
    assert "25 N" in last and "25 N at 2 mm/s" not in last


def test_what_is_in_the_notebook_already_is_not_made_again(page):
    assert stored(page) == 1
    assert stored(page) == 0
    page.picture.put(chart(words="It moved to 32 N."))
    assert stored(page) == 1


def test_nothing_is_stored_while_a_result_is_old(page, notebook):
    stored(page)
    before = kept_and_last(notebook)[1]
    page.answer.expire()
    assert stored(page) == 0
    assert kept_and_last(notebook)[1] == before


def test_a_page_that_was_loaded_anew_rewrites_its_outputs_by_itself(page, monkeypatch):
    sent = []
    monkeypatch.setattr(page.keeper._reloaded, "send", sent.append)
    press(page.picture)
    assert sent == []
    page.keeper._reloaded.lost = True
    press(page.picture)
    assert sent[0]["html"].count("<img") == 2 and f'id="{sent[0]["place"]}"' in sent[0]["html"]


def test_a_page_rests_before_it_stores_and_a_move_gives_it_up(page, notebook):
    resting.rest._waits.clear()
    resting.rest.wait(page.keeper)  # alone: pages of other tests may still be about
    other = Picture("Other", 100)
    page.children = [*page.children, other]

    async def moved():
        other.put(chart())
        await asyncio.sleep(0.5 * resting.REST)
        page.answer.value = "moved"  # not yet at rest
        await asyncio.sleep(0.9 * resting.REST)
        assert "<img" not in kept_and_last(notebook)[1]
        await asyncio.sleep(0.1 * resting.REST + 0.5 * resting.BREATH)  # the first of two pictures
        page.answer.value = "moved again"
        await asyncio.sleep(0.9 * resting.REST)
        assert "<img" not in kept_and_last(notebook)[1]
        await asyncio.sleep(resting.REST)

    clock.run(moved())
    last = kept_and_last(notebook)[1]
    assert last.count("<img") == 2 and "moved again" in last


def test_what_is_not_seen_in_a_picture_is_not_kept_with_it():
    rows = [{"speed": float(k), "force": float(k)} for k in range(1, 500)]
    data = alt.Chart(alt.NamedData("fields"))
    x, y = alt.X("speed:Q", title="speed v [mm/s]"), alt.Y("force:Q", title="force F [N]")
    unseen = alt.layer(data.mark_rect(opacity=0).encode(x, y)).properties(datasets={"fields": rows}).to_dict()
    seen = alt.layer(data.mark_point(opacity=1).encode(x, y)).properties(datasets={"fields": rows}).to_dict()
    assert 5 * len(static_of(unseen)) < len(static_of(seen))
    assert len(picture_numbers(unseen).rows) == 499  # its numbers are
