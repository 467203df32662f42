"""The report of a batch fetched from its page is the one that the bench prints."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from tests.bench.test_kept_report import alike, reports
from tests.office.test_reports import report_of
from tests.office.test_sheet_pages import text
from tests.paper.reading import text_of

ITS_RERUN = "2026-09-15-nitrate-rerun"


@pytest.fixture
def received(cast):
    """The office has what the bench of the made-up valley wrote; by name."""
    from haywright.office.bench.models import Batch
    from haywright.office.demo import bring_demo

    cast.office.code = "SVH"
    cast.office.save()
    bring_demo(cast.office, cast.people["educator"])
    return {one.name: one for one in Batch.objects.all()}


def printed(client, batch):
    answer = client.get(reverse("batch-report", args=[batch.pk]))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    return flat(text_of(answer.content))


def flat(said):
    return re.sub(r"\s+", " ", said.replace("\N{NO-BREAK SPACE}", " "))


def test_the_office_keeps_of_every_batch_all_that_its_report_prints(received):
    from haywright.office.bench.kept import kept_report
    from haywright.paper.batch_paper import batch_data
    from haywright.words import Reader

    assert received.keys() == reports().keys()
    for name, batch in received.items():
        first, again = reports()[name], kept_report(batch)
        alike(batch_data(first, Reader()), batch_data(again, Reader()), name)


def test_a_technician_fetches_from_the_page_what_the_command_prints(cast, received):
    from haywright.paper.batch_paper import batch_pdf
    from haywright.words import Reader

    technician, batch = cast.client("technician"), received[ITS_RERUN]
    page = technician.get(reverse("batch", args=[batch.pk]))
    assert reverse("batch-report", args=[batch.pk]) in page.content.decode()
    own = batch_pdf(reports()[ITS_RERUN], Reader(), office=cast.office.name)
    assert printed(technician, batch) == flat(text_of(own))


def test_the_report_of_a_batch_with_a_rerun_says_that_nothing_of_it_is_held_any_more(
    cast, received
):
    from haywright.office.bench.batch_told import holding
    from haywright.office.bench.models import Batch

    rerun = Batch.objects.filter(held=True).exclude(pk__in=holding(Batch.objects.all()))
    assert "its rerun stands in its place" in printed(cast.client("lab_manager"), rerun[0])


def test_the_report_of_a_batch_released_in_writing_says_who_released_it_and_why(cast, received):
    from haywright.office.bench.actions import release_batch
    from haywright.office.bench.models import Batch

    batch = Batch.objects.filter(held=True)[0]
    release_batch(cast.actor("lab_manager"), batch, "weighed again on the other balance")
    said = printed(cast.client("educator"), batch)
    assert "was released since, in writing, by" in said
    assert "weighed again on the other balance" in said


def test_a_batch_received_without_all_its_report_prints_has_no_half_report(cast, bag):
    from haywright.office.bench.actions import receive_results

    (batch,) = receive_results(cast.actor("lab_manager"), [report_of(bag.code, held=False)])
    manager = cast.client("lab_manager")
    page = manager.get(reverse("batch", args=[batch.pk]))
    assert reverse("batch-report", args=[batch.pk]) not in page.content.decode()
    assert "Print it where it was run" in text(page)
    answer = manager.get(reverse("batch-report", args=[batch.pk]))
    assert answer.status_code == 409
    assert "Print it where it was run" in text(answer)
