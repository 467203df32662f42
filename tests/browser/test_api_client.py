"""The client of docs/api.md does what the page says, run as it stands against a living office."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

PAGE = Path(__file__).resolve().parents[2] / "docs" / "api.md"


@pytest.mark.django_db(transaction=True)
def test_the_client_of_the_docs_seals_one_bag_types_a_report_and_reads_the_decision(
    cast, lot, live_server
):
    from haywright.office.bag.models import Bag
    from haywright.office.people.tokens import make_token
    from haywright.office.sheet.shown import shown

    (client,) = re.findall(r"```python\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)
    scopes = ["stack:read", "stack:write", "bag:write", "bench:write", "sheet:read"]
    key = make_token(cast.actor("educator"), "docs", scopes)
    environment = {**os.environ, "HAY_OFFICE": live_server.url, "HAY_KEY": key, "PYTHONUTF8": "1"}
    ran = subprocess.run(
        [sys.executable, "-I", "-c", client], env=environment, capture_output=True, text=True,
        encoding="utf-8", check=False, timeout=120,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    bag = Bag.objects.get()
    said = ran.stdout.splitlines()
    assert said[0] == "1 lots"
    assert said[1] == f"one bag: True {bag.code}"
    verdict = shown(lot.sheets.get().versions.get()).decisions[0].verdict
    assert f"by {verdict.question.guide.name} for pregnant" in said
    assert [one for one in said if one.startswith("- ")], ran.stdout
    assert "call Sedge veterinary practice 555 0101" in said
    assert said[-1] == "422 bales 900 accepted: 64"


def test_the_docs_name_every_scope_there_is():
    from haywright.office.people.tokens import SCOPES

    text = PAGE.read_text("utf-8")
    assert all(f"`{one}`" in text for one in SCOPES)
