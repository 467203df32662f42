"""Pages of the stack, the lists and the lot say the numbers of the pure functions, and no others.

The sheet's pages and papers are held against them in test_sheet_pages.py.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from tests.office.test_sheet_pages import paper, text

CHOSEN = [
    {},
    {"bales_to_core": "7", "purpose_of_test": "nutrients"},
    {"bales_to_core": "40", "cores_each": "2", "purpose_of_test": "nitrate"},
    {"precise_in": "cp", "half": "0.6", "purpose_of_test": "nutrients"},
]


def pure_plan(lot, asked):
    from haywright.office.way.pure import pure_lot
    from haywright.stack.plan import make_plan
    from haywright.stack.planned import Choices

    half = asked.get("half")
    choices = Choices(
        purpose=asked.get("purpose_of_test"),
        bales=int(asked["bales_to_core"]) if "bales_to_core" in asked else None,
        cores_per_bale=int(asked["cores_each"]) if "cores_each" in asked else None,
        target=(asked["precise_in"], float(half)) if half else None,
    )
    return make_plan(pure_lot(lot), choices, today=datetime.now(UTC).date())


@pytest.mark.parametrize("asked", CHOSEN)
def test_the_plan_draws_the_bales_the_plan_drew_and_says_what_they_buy(cast, lot, asked):
    pure, client = pure_plan(lot, asked), cast.client("educator")
    address = reverse("lot-plan", args=[lot.pk])
    walk = ", ".join(str(one.bale) for one in sorted(pure.picks, key=lambda one: one.walk))
    curve = pure.precision[0]
    half = f"{curve.at.half:.0f}" if curve.relative else f"{curve.at.half:.2f}"
    page = client.get(address, asked)
    for said in (text(page), paper(client.get(f"{address}.pdf", asked))):
        assert f"Core {len(pure.picks)} of the 64 bales" in said
        assert f"up: {walk}." in said
        assert f"{curve.at.cores} cores: ± {half} " in said


def test_the_lists_and_today_say_the_nitrate_of_the_sheet(cast, lot, sheet):
    from haywright.office.way.pure import known
    from haywright.paper.speaker import Speaker
    from haywright.words import Reader

    found = known(lot).samples[0].sheet.get("nitrate_n")
    said = Speaker(Reader()).value(found.estimate, "nitrate_n").replace("\xa0", " ")
    client = cast.client("educator")
    for name in ("lots", "today"):
        assert said in text(client.get(reverse(name))), name


def test_the_lot_says_the_verdict_and_the_share_the_pure_function_gives(cast, lot, sheet):
    from haywright.office.way.pure import known
    from haywright.paper.verdict_matter import opening_of
    from haywright.words import Reader, say

    whole = known(lot)
    verdict = whole.decisions(whole.samples[0], None)[0].verdict
    said = [say(one, Reader()) for one in opening_of(verdict, Reader()).sentence]
    assert said
    for name, thing in (("lot", lot), ("sheet", sheet), ("feed", sheet)):
        page = text(cast.client("educator").get(reverse(name, args=[thing.pk])))
        assert all(one.replace("\xa0", " ") in page for one in said), name
