"""What stays in sight of a sheet and what is folded; what was said of an earlier version."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from tests.office.test_sheet_pages import amend, amended, paper, text

__all__ = ["amended"]
NOW = datetime(2026, 10, 20, 15, tzinfo=UTC)


def in_sight(answer):
    """What a page says with every drawer closed."""
    page = re.sub(r"<details\b(?![^>]*\bopen\b).*?</details>", " ", answer.content.decode(),
                  flags=re.DOTALL)  # fmt: skip
    answer.content = page.encode()
    return text(answer)


@pytest.mark.parametrize("place", ["lot", "sheet", "feed"])
def test_what_a_verdict_stands_on_is_folded_and_whom_to_ask_stays_in_sight(cast, sheet, place):
    address = reverse(place, args=[sheet.lot.pk if place == "lot" else sheet.pk])
    client = cast.client("rancher")
    whole, seen = text(client.get(address)), in_sight(client.get(address))
    assert "is judged at the upper end" in whole
    assert "is judged at the upper end" not in seen
    assert "of the dry matter" in seen, "the share"
    assert "Talk to your veterinarian or local extension office before you feed it." in seen


def test_the_button_stands_before_what_is_folded(cast, sheet):
    page = cast.client("rancher").get(reverse("sheet", args=[sheet.pk])).content.decode()
    assert page.index('class="mind"') < page.index('class="button"') < page.index('class="stands"')


def test_paper_folds_nothing(cast, sheet):
    said = paper(cast.client("rancher").get(reverse("sheet-pdf", args=[sheet.pk])))
    assert "is judged at the upper end" in said


def test_amended_stands_in_sight_with_the_nitrate_that_changed(cast, amended):
    said = in_sight(cast.client("rancher").get(reverse("sheet", args=[amended.pk])))
    assert "AMENDED In place of version 1." in said
    assert "1,120, now 1,480" in said
    assert "Why: the laboratory sent another." not in said


def test_a_sheet_that_waits_for_many_tests_is_interim_in_one_line_with_their_names_after_it():
    from haywright.paper.issue import MOST_NAMED, mark_of
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader
    from tests.paper import hay

    few = mark_of(hay.sheet(pending=("starch", "sugar")), None, Speaker(Reader()))
    assert "Starch" in few["text"]
    waiting = ("starch", "wsc", "esc", "fat", "lignin")
    assert len(waiting) > MOST_NAMED
    many = mark_of(hay.sheet(pending=waiting), None, Speaker(Reader()))
    assert many["word"] == "INTERIM"
    assert many["text"] == "5 tests still to come. Anything said here may change."
    assert "Lignin" in many["more"][0]


def note(cast, sheet, said):
    from haywright.office.sheet.actions import write_note

    write_note(cast.actor("educator"), sheet, said)


def test_words_for_an_earlier_version_say_so_before_they_are_read(cast, lot, bag, sheet):
    note(cast, sheet, "Half of it with the brome is what I would do.")
    address = reverse("sheet", args=[sheet.pk])
    warned = "Written for version 1; this is version 2."
    client = cast.client("rancher")
    assert warned not in text(client.get(address))
    amend(cast, lot, bag)
    for said in (text(client.get(address)), paper(client.get(f"{address}sheet.pdf"))):
        assert said.index(warned) < said.index("Half of it with the brome")
    assert warned not in text(client.get(address, {"version": 1}))


def test_a_call_about_an_earlier_version_is_not_taken_for_one_about_this(cast, lot, bag, sheet):
    from haywright.office.sheet.actions import note_call

    note_call(cast.actor("educator"), sheet.versions.last(), "Wren Ochre", reached=True, at=NOW)
    address, client = reverse("call", args=[sheet.pk]), cast.client("educator")
    assert "About version 1" not in text(client.get(address))
    amend(cast, lot, bag)
    said = text(client.get(address))
    assert "That call was about an earlier version: call again about version 2." in said
    assert "About version 1, not version 2. It said 1,120 mg/kg NO3-N of dry matter." in said
    note_call(cast.actor("educator"), sheet.versions.last(), "Wren Ochre", reached=False, at=NOW)
    assert "call again about version 2" not in text(client.get(address))


@given(st.lists(st.floats(0.001, 1), min_size=1, max_size=8))
def test_the_shares_of_a_doubt_make_one_whole(parts):
    from haywright.paper.number_matter import LEAST_NAMED, whole_percents

    shares = [one / sum(parts) for one in parts]
    whole = whole_percents(shares)
    assert sum(whole) == 100
    for share, percent in zip(shares, whole, strict=True):
        assert (percent == 0) == (share < LEAST_NAMED)


def test_three_equal_thirds_are_34_33_and_33_of_a_hundred():
    """100 in three parts, by hand."""
    from haywright.paper.number_matter import whole_percents

    assert whole_percents([1 / 3, 1 / 3, 1 / 3]) == [34, 33, 33]


def test_a_dry_matter_never_stands_in_a_column_of_shares_of_dry_matter():
    from haywright.paper.sheet_sections import results_section
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader
    from tests.paper import hay

    apart, shares = [
        one for one in results_section(hay.sheet(), {}, Speaker(Reader()))["blocks"]
        if one["kind"] == "table"
    ]  # fmt: skip
    assert "Dry matter" in [row[0] for row in apart["rows"]]
    assert "as received" in [row[2] for row in apart["rows"]]
    assert "Basis" in apart["head"]
    assert "On dry matter" in shares["head"]
    assert not [row for row in shares["rows"] if "ry matter" in row[0]]


def test_a_cell_with_nothing_in_it_has_no_label_on_a_phone(cast, sheet):
    page = cast.client("rancher").get(reverse("sheet", args=[sheet.pk])).content.decode()
    assert not re.findall(r'<td[^>]*data-of="[^"]*"><span></span></td>', page)
    assert not re.findall(r'<td[^>]*data-of="[^"]*"></td>', page)
