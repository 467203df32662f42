"""The entries of the ledger."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from haywright.office.keys import new_key


class Entry(models.Model):
    """One thing that happened; people stand in it by key only.

    ``before`` and ``after`` hold the fields that changed. ``once`` is what a form or a program
    sent along so that the same deed sent twice is done once.
    """

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    office = models.ForeignKey("people.Office", models.PROTECT, related_name="entries")
    number = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    who = models.UUIDField(null=True)
    deed = models.CharField(max_length=60)
    thing = models.CharField(max_length=30)
    thing_id = models.UUIDField()
    lot_id = models.UUIDField(null=True)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    reason = models.CharField(max_length=500, blank=True)
    once = models.CharField(max_length=80, null=True)  # noqa: DJ001 - unique where given
    form = models.PositiveSmallIntegerField(default=1)
    previous = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering: ClassVar = ["office", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["office", "number"], name="one_entry_of_a_number"),
            models.UniqueConstraint(fields=["office", "digest"], name="one_entry_of_a_digest"),
            models.UniqueConstraint(fields=["office", "previous"], name="the_chain_never_forks"),
            models.UniqueConstraint(
                fields=["office", "once"],
                condition=Q(once__isnull=False),
                name="a_deed_is_done_once",
            ),
            models.CheckConstraint(condition=Q(number__gte=1), name="entry_numbers_from_one"),
        ]
        indexes: ClassVar = [
            models.Index(fields=["thing_id", "number"], name="entry_of_a_thing"),
            models.Index(fields=["lot_id", "number"], name="entry_of_a_lot"),
            models.Index(
                fields=["office", "number"],
                condition=Q(lot_id__isnull=True),
                name="entry_of_no_lot",
            ),
        ]
