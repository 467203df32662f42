"""Batches, raw readings and results, as they came; and what a laboratory writes by habit."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from haywright.measure.estimate import State as How
from haywright.measure.result import Kind
from haywright.office.keys import new_key


class Laboratory(models.Model):
    """What a laboratory's report leaves unsaid: its basis, nitrate form and TDN equation.

    ``profile`` also holds what the office wrote down of it: methods it names, and the
    proficiency scheme it takes part in.
    """

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    office = models.ForeignKey("people.Office", models.PROTECT, related_name="laboratories")
    name = models.CharField(max_length=120)
    profile = models.JSONField(default=dict)
    prices = models.JSONField(default=dict)
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    version = models.PositiveIntegerField(default=1)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["office", "name"], name="one_laboratory_of_a_name")
        ]

    def __str__(self) -> str:
        return self.name


class Batch(models.Model):
    """One run of one determination as it was received; ``report`` is what the bench wrote.

    A batch whose quality control failed is held; only a lab manager's written reason releases it.
    """

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    office = models.ForeignKey("people.Office", models.PROTECT, related_name="batches")
    name = models.CharField(max_length=120)
    determination = models.CharField(max_length=40)
    method = models.CharField(max_length=60, blank=True)
    run_on = models.DateField()
    held = models.BooleanField()
    report = models.JSONField(default=dict)
    released_why = models.CharField(max_length=500, blank=True)
    released_by = models.ForeignKey("people.Person", models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["office", "name"], name="one_batch_of_a_name"),
            models.CheckConstraint(
                condition=Q(released_why="", released_by__isnull=True)
                | (~Q(released_why="") & Q(released_by__isnull=False)),
                name="a_release_has_a_reason_and_a_name",
            ),
        ]


class Reading(models.Model):
    """A raw reading, written for good; a correction is another with a reason."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    batch = models.ForeignKey(Batch, models.PROTECT, related_name="readings")
    position = models.PositiveIntegerField()
    kind = models.CharField(max_length=20)
    sample = models.CharField(max_length=80)
    name = models.CharField(max_length=60)
    value = models.DecimalField(max_digits=20, decimal_places=10, null=True)
    written = models.CharField(max_length=60)
    read_at = models.DateTimeField(null=True)
    by = models.ForeignKey("people.Person", models.PROTECT, null=True, related_name="+")
    corrects = models.OneToOneField("self", models.PROTECT, null=True, related_name="corrected_by")
    reason = models.CharField(max_length=500, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(corrects__isnull=True) | ~Q(reason=""),
                name="a_correction_has_a_reason",
            )
        ]


class Result(models.Model):
    """One released result of one bag, or of a lot by a typed report; written for good.

    ``whole`` is the result as the pure code writes it, evidence and doubt included; the columns
    are what lists need. A later one with the same quantity stands in its place (``replaces``).
    """

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    office = models.ForeignKey("people.Office", models.PROTECT, related_name="results")
    lot = models.ForeignKey("stack.Lot", models.PROTECT, related_name="results")
    bag = models.ForeignKey("bag.Bag", models.PROTECT, null=True, related_name="results")
    batch = models.ForeignKey(Batch, models.PROTECT, null=True, related_name="results")
    analyte = models.CharField(max_length=40)
    state = models.CharField(max_length=10)
    value = models.DecimalField(max_digits=20, decimal_places=10, null=True)
    unit = models.CharField(max_length=20)
    basis = models.CharField(max_length=40)
    kind = models.CharField(max_length=20)
    laboratory = models.CharField(max_length=120, blank=True)
    reported = models.CharField(max_length=80, blank=True)
    whole = models.JSONField()
    replaces = models.OneToOneField("self", models.PROTECT, null=True, related_name="replaced_by")
    reason = models.CharField(max_length=500, blank=True)
    by = models.ForeignKey("people.Person", models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(kind__in=[one.value for one in Kind]), name="result_kind"
            ),
            models.CheckConstraint(
                condition=Q(state__in=[one.value for one in How]), name="result_state"
            ),
            models.CheckConstraint(
                condition=Q(replaces__isnull=True) | ~Q(reason=""),
                name="a_changed_result_has_a_reason",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["bag", "analyte"], name="results_of_a_bag"),
            models.Index(fields=["lot", "analyte"], name="results_of_a_lot"),
            models.Index(fields=["office", "analyte", "-id"], name="results_by_quantity"),
        ]
