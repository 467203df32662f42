"""Bags and hand-overs."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from haywright.bag.bag import TAKEN
from haywright.bag.custody import Stage
from haywright.office.keys import new_key


class Bag(models.Model):
    """One sealed sample. ``facts`` is its whole form without its journey.

    ``stage`` is the stage of its last hand-over.
    """

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    office = models.ForeignKey("people.Office", models.PROTECT, related_name="bags")
    lot = models.ForeignKey("stack.Lot", models.PROTECT, related_name="bags")
    code = models.CharField(max_length=20, unique=True)
    number = models.PositiveIntegerField()
    cored_on = models.DateField()
    taken = models.CharField(max_length=10)
    part = models.CharField(max_length=120, blank=True)
    tests = models.JSONField(default=list)
    bales_cored = models.PositiveIntegerField(null=True)
    mass_sealed_g = models.DecimalField(max_digits=8, decimal_places=2, null=True)
    mass_received_g = models.DecimalField(max_digits=8, decimal_places=2, null=True)
    sampler = models.CharField(max_length=100, blank=True)
    laboratory = models.CharField(max_length=120, blank=True)
    stage = models.CharField(max_length=12)
    stage_at = models.DateTimeField()
    facts = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=1)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["office", "number"], name="one_bag_of_a_number"),
            models.CheckConstraint(condition=Q(taken__in=TAKEN), name="bag_taken"),
            models.CheckConstraint(
                condition=Q(stage__in=[one.value for one in Stage]), name="bag_stage"
            ),
            models.CheckConstraint(
                condition=Q(mass_sealed_g__isnull=True) | Q(mass_sealed_g__gt=0),
                name="a_sealed_bag_weighs_something",
            ),
            models.CheckConstraint(
                condition=Q(mass_received_g__isnull=True) | Q(mass_received_g__gt=0),
                name="a_received_bag_weighs_something",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["office", "-id"], name="bags_of_an_office"),
            models.Index(fields=["office", "stage", "-id"], name="bags_by_stage"),
            models.Index(fields=["lot", "-id"], name="bags_of_a_lot"),
        ]

    def __str__(self) -> str:
        return self.code


class HandOver(models.Model):
    """Who had the bag, from when; written for good."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    bag = models.ForeignKey(Bag, models.PROTECT, related_name="journey")
    stage = models.CharField(max_length=12)
    at = models.DateTimeField()
    who = models.CharField(max_length=100)
    person = models.ForeignKey("people.Person", models.PROTECT, null=True, related_name="+")
    mass_g = models.DecimalField(max_digits=8, decimal_places=2, null=True)
    reason = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(stage__in=[one.value for one in Stage]), name="hand_over_stage"
            ),
            models.CheckConstraint(condition=~Q(who=""), name="somebody_has_the_bag"),
        ]
