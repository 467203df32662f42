"""Lots, what became of them, their photos and the heat of their bales."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from haywright.office.keys import new_key
from haywright.stack.lot import FORMS, USES


class State(models.TextChoices):
    """Where a lot stands."""

    HERE = "here"
    FED = "fed"
    SOLD = "sold"
    SPLIT = "split"
    MERGED = "merged"
    CARRIED = "carried"


class Lot(models.Model):
    """A lot of hay. ``facts`` is its whole form; the columns are what lists and rules need of it.

    ``hay_year`` is the year it was cut; ``mean_bale_kg`` what one bale weighs as it stands;
    ``waits`` and ``waits_since`` what it waits for and since when, settled by ``stack.waits``.
    """

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    office = models.ForeignKey("people.Office", models.PROTECT, related_name="lots")
    ranch = models.ForeignKey("people.Ranch", models.PROTECT, null=True, related_name="lots")
    number = models.PositiveIntegerField()
    name = models.CharField(max_length=120)
    field = models.CharField(max_length=120, blank=True)
    form = models.CharField(max_length=20)
    crop = models.CharField(max_length=60)
    cutting = models.PositiveSmallIntegerField(null=True)
    hay_year = models.PositiveSmallIntegerField()
    baled_on = models.DateField(null=True)
    storage = models.CharField(max_length=60, blank=True)
    outdoors = models.BooleanField(default=False)
    purpose = models.CharField(max_length=10, default="feed")
    bales = models.PositiveIntegerField(null=True)
    mean_bale_kg = models.DecimalField(max_digits=8, decimal_places=3, null=True)
    suspect = models.BooleanField(default=False)
    facts = models.JSONField(default=dict)
    state = models.CharField(max_length=10, choices=State.choices, default=State.HERE)
    seller = models.CharField(max_length=120, blank=True)
    seller_paper = models.TextField(blank=True)
    waits = models.CharField(max_length=10, blank=True, default="")
    waits_since = models.DateField(null=True)
    version = models.PositiveIntegerField(default=1)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["office", "number"], name="one_lot_of_a_number"),
            models.CheckConstraint(condition=~Q(name=""), name="lot_has_a_name"),
            models.CheckConstraint(condition=Q(form__in=FORMS), name="lot_form"),
            models.CheckConstraint(condition=Q(purpose__in=USES), name="lot_purpose"),
            models.CheckConstraint(condition=Q(state__in=State.values), name="lot_state"),
            models.CheckConstraint(
                condition=Q(bales__isnull=True) | Q(bales__gte=1), name="lot_has_bales"
            ),
            models.CheckConstraint(
                condition=Q(mean_bale_kg__isnull=True) | Q(mean_bale_kg__gt=0),
                name="a_bale_weighs_something",
            ),
            models.CheckConstraint(
                condition=Q(cutting__isnull=True) | Q(cutting__range=(1, 20)), name="lot_cutting"
            ),
            models.CheckConstraint(condition=Q(hay_year__range=(1900, 2200)), name="lot_hay_year"),
        ]
        indexes: ClassVar = [
            models.Index(fields=["office", "-id"], name="lots_of_an_office"),
            models.Index(fields=["office", "state", "-id"], name="lots_by_state"),
            models.Index(fields=["ranch", "-id"], name="lots_of_a_ranch"),
            models.Index(fields=["office", "state", "-baled_on"], name="lots_by_baling"),
            models.Index(fields=["office", "waits", "waits_since"], name="lots_that_wait"),
        ]

    def __str__(self) -> str:
        return self.name


class Kinship(models.Model):
    """How bales went from one lot to another, or away."""

    class Kind(models.TextChoices):
        SPLIT = "split"
        MERGED = "merged"
        SOLD = "sold"
        CARRIED = "carried_over"

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    of = models.ForeignKey(Lot, models.PROTECT, related_name="went")
    into = models.ForeignKey(Lot, models.PROTECT, null=True, related_name="came")
    bales = models.PositiveIntegerField(null=True)
    on = models.DateField()
    price = models.DecimalField(max_digits=10, decimal_places=2, null=True)
    buyer = models.CharField(max_length=120, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(bales__isnull=True) | Q(bales__gte=1), name="kinship_has_bales"
            ),
            models.CheckConstraint(
                condition=Q(price__isnull=True) | Q(price__gte=0), name="kinship_price"
            ),
            models.CheckConstraint(
                condition=Q(kind="sold", into__isnull=True)
                | (~Q(kind="sold") & Q(into__isnull=False)),
                name="only_a_sale_leads_away",
            ),
        ]


class Photo(models.Model):
    """A photo of a lot, or the seller's paper; the file lies in the data folder under its key."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="photos")
    kind = models.CharField(max_length=10)
    size = models.PositiveIntegerField()
    says = models.CharField(max_length=300)
    paper = models.BooleanField(default=False)
    by = models.ForeignKey("people.Person", models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)


class Temperature(models.Model):
    """The heat inside one bale on one day [degC], kept as it was read."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="temperatures")
    bale = models.CharField(max_length=30, blank=True)
    celsius = models.DecimalField(max_digits=5, decimal_places=1)
    taken_at = models.DateTimeField()
    by = models.ForeignKey("people.Person", models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(celsius__range=(-60, 400)), name="temperature_believable"
            )
        ]
