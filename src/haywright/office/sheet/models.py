"""Sheets in numbered versions, the educator's note, links for reading, and calls made."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from haywright.measure.estimate import State as How
from haywright.office.keys import new_key


class Sheet(models.Model):
    """The test sheet of a lot, or of a part of its field.

    ``to_call`` and ``to_explain`` are what Today asks: the newest version is over the office's
    line and nobody was called about it; it is whole and no word went to the rancher. ``nitrate``
    is what the newest version found, or the end of the range it is beyond [mg/kg NO3-N of DM];
    ``nitrate_state`` says which of them. ``interim`` is whether the newest version waits for
    something still.
    """

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    office = models.ForeignKey("people.Office", models.PROTECT, related_name="sheets")
    lot = models.ForeignKey("stack.Lot", models.PROTECT, related_name="sheets")
    part = models.CharField(max_length=120, blank=True)
    number = models.PositiveIntegerField()
    nitrate = models.DecimalField(max_digits=12, decimal_places=4, null=True)
    nitrate_state = models.CharField(max_length=20, blank=True)
    to_call = models.BooleanField(default=False)
    to_explain = models.BooleanField(default=False)
    interim = models.BooleanField(default=False)
    written_at = models.DateTimeField(null=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["office", "number"], name="one_sheet_of_a_number"),
            models.UniqueConstraint(fields=["lot", "part"], name="one_sheet_of_a_part"),
            models.CheckConstraint(
                condition=Q(nitrate_state__in=["", *(one.value for one in How)]),
                name="sheet_nitrate_state",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["office", "-id"], name="sheets_of_an_office"),
            # of the few that are meant only: a bare yes or no leads SQLite into no index
            models.Index(
                fields=["office", "-nitrate", "-id"],
                condition=Q(to_call=True),
                name="sheets_to_call_about",
            ),
            models.Index(
                fields=["office", "-id"], condition=Q(to_explain=True), name="sheets_to_explain"
            ),
            models.Index(
                fields=["office", "written_at", "id"],
                condition=Q(interim=True),
                name="sheets_still_interim",
            ),
        ]


class Version(models.Model):
    """A numbered version with everything it was made from, frozen; written for good.

    ``nitrate`` and ``call`` are what lists and Today ask: the nitrate found [mg/kg NO3-N of DM]
    and whether it is over the office's line.
    """

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    sheet = models.ForeignKey(Sheet, models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    interim = models.BooleanField()
    amended = models.BooleanField(default=False)
    snapshot = models.JSONField()
    changes = models.JSONField(default=list)
    reason = models.CharField(max_length=500, blank=True)
    nitrate = models.DecimalField(max_digits=12, decimal_places=4, null=True)
    call = models.BooleanField(default=False)
    by = models.ForeignKey("people.Person", models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField()
    digest = models.CharField(max_length=64)

    class Meta:
        ordering: ClassVar = ["sheet", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["sheet", "number"], name="one_version_of_a_number"),
            models.CheckConstraint(
                condition=Q(amended=False) | ~Q(reason=""), name="an_amended_version_says_why"
            ),
        ]


class Note(models.Model):
    """The educator's own words to this rancher; a later one stands before an earlier one."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    sheet = models.ForeignKey(Sheet, models.PROTECT, related_name="notes")
    text = models.TextField(max_length=4000)
    by = models.ForeignKey("people.Person", models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [models.CheckConstraint(condition=~Q(text=""), name="note_says")]


class ReadLink(models.Model):
    """A link by which anyone may read one sheet; only the digest of its secret is kept."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    sheet = models.ForeignKey(Sheet, models.PROTECT, related_name="links")
    digest = models.CharField(max_length=64, unique=True)
    by = models.ForeignKey("people.Person", models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    ends_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("made_at")), name="read_link_ends")
        ]


class Call(models.Model):
    """Who was called about a high nitrate, when, by whom; written for good."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    version = models.ForeignKey(Version, models.PROTECT, related_name="calls")
    called = models.CharField(max_length=120)
    reached = models.BooleanField()
    said = models.CharField(max_length=500, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("people.Person", models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["at"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~Q(called=""), name="somebody_was_called")
        ]
        indexes: ClassVar = [models.Index(fields=["-at"], name="calls_by_day")]
