"""What all pages share: the strip, where things stand, folds, and controls that write into a plan; tests/browser sees them in one."""

from types import SimpleNamespace

import ipywidgets as W
import pytest

from rheokit.errors import DataError
from rheokit.fitting.stamp import CAUSES
from rheokit.nomenclature import capital
from rheokit.widgets.page.bound import bound, saving_of
from rheokit.widgets.page.elements import is_shown, section
from rheokit.widgets.page.fields import choice
from rheokit.widgets.page.freshness import OLD, expire
from rheokit.widgets.page.layout import Fold, beside
from rheokit.widgets.page.number_field import NumberField
from rheokit.widgets.page.strip import BINDS, DOUBTFUL, ROOM, STOPPED, Strip, begun
from rheokit.widgets.page.typed_numbers import number_typed, with_its_unit


def test_a_part_says_its_grade_by_a_mark_and_escapes_its_words():
    strip = Strip()
    strip.binds.say("the drive <40 N>", STOPPED)
    assert f"<p class='called'>{BINDS}</p>" in strip.binds.value
    assert "class='stopped'><p>■ the drive &lt;40 N&gt;</p>" in strip.binds.value
    strip.trust.say("one check failed", DOUBTFUL)
    assert "<p>▲ one check failed</p>" in strip.trust.value
    strip.answer.say("38 N")
    assert "role='status' class='sound'><p>38 N</p>" in strip.answer.value


def test_a_strip_is_old_until_it_is_written_anew():
    strip = Strip()
    strip.answer.say("38 N")
    strip.binds.say("the drive")
    expire(strip)
    assert OLD in strip.answer._dom_classes and OLD in strip.binds._dom_classes
    strip.say("not known: the bore")
    assert OLD not in strip.answer._dom_classes + strip.binds._dom_classes
    assert "nothing to say yet" in strip.binds.value and "the drive" not in strip.binds.value


@pytest.mark.parametrize("cause", CAUSES.values(), ids=CAUSES)
def test_of_a_cause_and_what_to_do_about_it_the_strip_begins_what_it_has_room_for(cause):
    said = begun(whole := f"{capital(cause.words)}. {cause.remedy}")
    assert len(said) <= ROOM and (said == whole or (len(whole) > ROOM and said == f"{capital(cause.words)}."))


def test_one_long_sentence_is_not_cut_by_the_strip():
    assert begun(f"{'long ' * 40}sentence. And another.") == f"{'long ' * 40}sentence."


def test_a_fold_is_made_when_it_is_first_opened_and_once():
    made = []
    fold = Fold("More", lambda: made.append(W.Text()) or made[-1])
    assert not made and not is_shown(fold._place)
    fold.opener.value = True
    assert is_shown(fold._place) and fold._place.children == (made[0],)
    fold.opener.value = False
    fold.unfold()
    assert len(made) == 1 and fold.is_open and fold.made is made[0]


def test_a_picture_stands_beside_its_controls():
    main, picture, other = (W.Text() for _ in range(3))
    box = beside(main, picture, other)
    assert [(child._dom_classes, child.children) for child in box.children] == [
        (("beside-main",), (main,)),
        (("beside-picture",), (picture,)),
        (("beside-others",), (other,)),
    ]


class Overtaken(DataError):
    pass


class StandIn:
    """A plan of one file, in a dict that another window may write into."""

    def __init__(self, disk):
        self.disk = disk
        self.reread()

    def reread(self):
        self.known, self.held = dict(self.disk), dict(self.disk)

    def text(self, table, key):
        return self.held.get((table, key), "")

    def put(self, table, key, text):
        self.held[table, key] = text

    def save(self):
        if self.disk != self.known:
            raise Overtaken("plan.toml was changed by another window.")
        self.disk.clear()
        self.disk.update(self.held)
        self.known = dict(self.held)


def bore(**more):
    return NumberField("bore at the tip D [mm]", 1.6, 0.05, 50.0, hint="not known", begin=None, **more)


def test_a_field_holds_what_the_plan_says_and_writes_what_is_typed_with_its_unit():
    disk = {("nozzle", "bore"): "1,6 mm"}
    plan = StandIn(disk)
    field = bound(bore(), plan, "nozzle", "bore")
    assert field.holds == "1,6" and field.value == 1.6
    for typed, written in (("2.4", "2.4 mm"), ("2,4", "2,4 mm"), ("0.3 cm", "0.3 cm"), ("0,3 cm", "0,3 cm"), ("", "")):
        field.text.value = typed
        assert disk["nozzle", "bore"] == written
    field.text.value = "2"
    field.text.value = "two"
    assert disk["nozzle", "bore"] == "2 mm"  # what was taken last


def test_fields_are_bound_by_their_keys_and_what_opens_them_writes_nothing():
    disk = {("nozzle", "bore"): "2 mm"}
    plan = StandIn(disk)
    changes = []
    saving_of(plan).changed = lambda: changes.append(1)
    fields = bound({"bore": bore(), "ruled": W.Checkbox(), "law": choice("law", ["Bingham", "Casson"])}, plan, "nozzle")
    assert disk == {("nozzle", "bore"): "2 mm"} and not changes
    fields["ruled"].value = True
    fields["law"].value = "Casson"
    assert disk == {("nozzle", "bore"): "2 mm", ("nozzle", "ruled"): "yes", ("nozzle", "law"): "Casson"}
    assert len(changes) == 2
    again = bound({"ruled": W.Checkbox(), "law": choice("law", ["Bingham", "Casson"])}, StandIn(disk), "nozzle")
    assert again["ruled"].value and again["law"].value == "Casson"


def test_a_choice_that_a_plan_cannot_mean_is_said():
    plan = StandIn({("fit", "law"): "Hooke"})
    with pytest.raises(DataError, match=r"^plan.toml, \[fit\], law = 'Hooke' is none of Bingham, Casson; choose one.$"):
        bound(choice("law", ["Bingham", "Casson"]), plan, "fit", "law")


def two_windows():
    disk = {("nozzle", "bore"): "2 mm", ("nozzle", "land"): "8 mm"}
    plan, other, told = StandIn(disk), StandIn(disk), []
    saving_of(plan).told = told.append
    fields = bound({"bore": bore(), "land": bore()}, plan, "nozzle")
    other.put("nozzle", "bore", "3 mm")
    other.put("nozzle", "other", "theirs")
    other.save()
    return SimpleNamespace(disk=disk, plan=plan, told=told, fields=fields, saving=saving_of(plan))


def test_what_another_window_wrote_is_not_written_over_and_one_is_told():
    at = two_windows()
    at.fields["bore"].text.value = "4"
    assert at.disk["nozzle", "bore"] == "3 mm" and isinstance(at.told[-1], Overtaken)
    at.saving.take_theirs()
    assert at.plan.text("nozzle", "bore") == "3 mm" and at.told[-1] is None


def test_what_is_kept_is_written_over_knowingly_and_all_else_of_theirs_stays():
    at = two_windows()
    at.fields["bore"].text.value = "4"
    at.fields["land"].text.value = "5"
    at.fields["bore"].text.value = "6"
    at.saving.keep_mine()
    assert at.disk == {("nozzle", "bore"): "6 mm", ("nozzle", "land"): "5 mm", ("nozzle", "other"): "theirs"}
    assert at.told[-1] is None


def test_where_nobody_listens_a_failed_save_is_not_silent():
    plan = StandIn({})
    field = bound(bore(), plan, "nozzle", "bore")
    plan.disk["x", "y"] = "theirs"
    with pytest.raises(Overtaken):
        field.text.value = "4"


@pytest.mark.parametrize(
    ("typed", "unit", "elsewhere"),
    [
        ("1.6", "mm", "1.6 mm"),
        ("1,5", "× fitted", "1,5"),
        (",5", "mm", ".5 mm"),
        ("2", "-", "2"),
        ("−5", "°C", "-5 °C"),
        ("5", "1/s", "5 1/s"),
        ("3", None, "3"),
        ("20G", "mm", "20G"),
        ("1.2", "10⁻¹⁰ m²/s", "1.2E-10 m2/s"),
        ("4", "g/(m²·h)", "4 g/(m²·h)"),
    ],
)
def test_a_number_alone_gets_the_unit_of_its_place(typed, unit, elsewhere):
    assert with_its_unit(typed, unit) == elsewhere
    if unit is not None and typed != "20G":
        assert number_typed(elsewhere, "x", unit) == pytest.approx(number_typed(typed, "x", unit), rel=1e-15)


def test_a_section_stands_one_heading_below_the_title_of_its_notebook():
    made = section("Limits")
    assert made.children[0].value == "<h2>Limits</h2>"
