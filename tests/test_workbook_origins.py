"""What a plan knows of a paste goes into its material with spread and origin, where no reading says it; whose numbers they are. Kind: exact."""

import math
import re
import shutil

import pytest

import rheokit as rk
from rheokit.widgets import NozzlePage, RegionPage
from rheokit.workbook import demo


@pytest.fixture
def book(tmp_path):
    shutil.copytree(demo("porcelain-body"), tmp_path / "mine")
    return rk.Workbook.open(tmp_path / "mine")


def test_the_slope_of_the_recipe_moves_the_water_with_its_spread(book):
    law, material = book.mixed.law, book.material
    assert material.paste.water_slope == pytest.approx(law.slope)
    half = (law.high - law.low) / 2 / 1.959964
    assert material.spread("water_slope") == pytest.approx(half / law.slope, rel=1e-6)
    assert material.origin("water_slope") == "fitted: to yield stresses at several waters, of the recipe"
    softer = material.paste.at_water(0.41).yield_stress / material.paste.yield_stress
    assert softer == pytest.approx(math.exp(-law.slope * 0.01))


def test_the_modulus_is_moved_to_the_water_that_was_tested(book):
    assert book.material.paste.modulus == pytest.approx(180e3)
    book.plan.put("shape", "modulus_water", "0.38")
    assert book.material.paste.modulus == pytest.approx(180e3 * math.exp(-book.mixed.law.slope * 0.02))
    book.plan.put("shape", "stiffness_from", "a test wall that leaned")
    assert book.material.paste.modulus is None  # that wall is as thick as the one of the recipe


def test_what_readings_tell_stays_and_what_is_typed_of_the_paste_counts_first(book):
    assert "static_ratio" not in book.given  # of the hanging slugs
    assert book.material.paste.shrinkage_xy == pytest.approx(0.065)
    assert book.material.spread("shrinkage_xy") == pytest.approx(0.005 / 0.065)
    book.plan.put_property("shrinkage_xy", "0.07", "measured: three bars", 0.05)
    assert book.material.paste.shrinkage_xy == pytest.approx(0.07)
    assert (book.material.spread("shrinkage_xy"), book.material.origin("shrinkage_xy")) == (
        0.05,
        "measured: three bars",
    )


def test_one_rate_of_use_alone_is_told(book):
    book.plan.put("fit", "slowest_rate", "2 s-1")
    with pytest.raises(
        rk.DataError, match=r"\[fit\]: slowest_rate = 2 s-1 stands alone; write both rates of use, or none"
    ):
        _ = book.fit
    book.plan.put("fit", "fastest_rate", "200 s-1")
    assert book.use_range == (2.0, 200.0)


@pytest.mark.parametrize(
    ("machine", "job", "both"),
    [
        ("measured", "invented: for demonstration", "invented: for demonstration"),
        ("measured: calipers", "measured", "measured: calipers"),
        ("measured", "", "assumed: origin not given"),
        ("from a handbook", "table: data sheet", "assumed: from a handbook"),
    ],
)
def test_of_two_origins_the_less_trusted_is_told(book, machine, job, both):
    book.plan.put("machine", "origin", machine)
    book.plan.put("job", "origin", job)
    assert book.machine_origin == both
    assert book.origins[0].endswith(machine) and book.origins[1].endswith(job or "origin not given")
    said = book.script()
    assert all(
        f"# numbers of the {what}: {of}\n" in said for what, of in zip(("machine", "job"), book.origins, strict=True)
    )


@pytest.mark.slow
def test_every_page_says_the_same_of_where_machine_and_part_come_from(book, tmp_path, monkeypatch):
    monkeypatch.setenv("RHEOKIT_STATE", str(tmp_path / "state"))
    book.plan.put("machine", "origin", "measured: calipers")
    book.plan.put("job", "origin", "")
    book.save()
    for page in (NozzlePage, RegionPage):
        said = " ".join(re.sub(r"<[^>]+>", " ", page(book.folder).explorer.rests.value).split())
        assert "bore at the tip D 3 mm measured: calipers" in said, said
        assert "print speed v 15 mm/s assumed: origin not given" in said, said
