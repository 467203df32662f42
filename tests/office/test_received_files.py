"""A file that is not what the bench wrote is refused by name, with what is wrong and wanted."""

from __future__ import annotations

import json
import os

import pytest

from haywright.measure.errors import HaywrightError
from haywright.words import say
from tests.office.test_reports import report_of, sent
from tests.office.test_sheet_pages import text

ROW = {"batch": "b", "determination": "adf", "run_on": "2026-09-14"}
WANTED = "Take results.json from the batch’s folder"
BROKEN_SAID = {"key": "no.such.words", "args": {}}


@pytest.mark.parametrize(
    ("data", "wrong"),
    [
        (b"", "there is nothing in it"),
        (b"[]", "of something else"),
        (b"{}", "it has no batch, determination, run_on, results"),
        (os.urandom(300) + b"\xff", "cannot be read as JSON"),
        (b"[1, 2.5, -3e300]", "of something else"),
        (b"[" * 100_000, "cannot be read as JSON"),
        (b"position,kind,sample\n1,bag,SDG-0001-51\n", "cannot be read as JSON"),
        (json.dumps({"batch": {"a": [1]}, "results": {"x": {"y": []}}}).encode(), "it has no"),
        (json.dumps(ROW | {"batch": " ", "results": {}}).encode(), "batch cannot be read"),
        (json.dumps(ROW | {"batch": "", "results": {}}).encode(), "batch is empty"),
        (json.dumps(ROW | {"results": [1, 2]}).encode(), "results cannot be read ([1, 2])"),
        (json.dumps(ROW | {"results": {}, "decision": {"waiting": [2]}}).encode(), "decision"),
        (json.dumps(ROW | {"results": {}, "decision": {"waiting": {"x": 7}}}).encode(), "decision"),
        (json.dumps(ROW | {"results": {}, "decision": {"reruns": [BROKEN_SAID]}}).encode(),
         "decision"),
        (json.dumps(ROW | {"results": {}, "controls": [{"outcome": "fine"}]}).encode(), "controls"),
    ],
)  # fmt: skip
def test_a_file_that_is_no_batch_report_is_named_with_what_is_wrong_and_what_is_taken(
    cast, tmp_path, data, wrong
):
    from haywright.office import start
    from haywright.office.bench.models import Batch

    file = tmp_path / "sent.json"
    file.write_bytes(data)
    with pytest.raises(HaywrightError) as refused:
        start.receive([file], "lab_manager@example.org")
    said = say(refused.value.message)
    assert str(file) in said
    assert wrong in said
    assert WANTED in said
    assert not Batch.objects.exists()


def test_what_an_earlier_batch_kept_beside_is_not_taken_from_the_file_that_is_sent(cast, bag):
    from haywright.office.bench.models import Batch

    manager = cast.client("lab_manager")
    made_up = [{"bag": bag.code, "stands": "no-such-row", "result": {}}]
    answer = sent(manager, report_of(bag.code, held=False) | {"beside": made_up})
    assert manager.get(answer["Location"]).status_code == 200
    assert "beside" not in Batch.objects.get().report


def test_the_page_says_the_same_of_a_file_that_is_no_batch_report(cast):
    answer = sent(cast.client("lab_manager"), [1, 2, 3])
    assert answer.status_code == 422
    assert "results.json is not a batch report" in text(answer)
    assert WANTED in text(answer)
