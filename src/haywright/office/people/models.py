"""People, offices, ranches, and who belongs where."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.crypto import salted_hmac

from haywright.office.keys import new_key


class People(BaseUserManager["Person"]):
    """Makes people."""

    def create_user(self, email: str | None, password: str | None = None, **more: Any) -> Person:
        """One more person; without a password they sign in by link, code or printed square."""
        person = self.model(email=self.normalize_email(email).lower() if email else None, **more)
        if password:
            person.set_password(password)
        else:
            person.set_unusable_password()
        person.save(using=self._db)
        return person


class Person(AbstractBaseUser, PermissionsMixin):
    """One person, who may belong to several offices and ranches."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    email = models.EmailField(unique=True, null=True, blank=True)
    name = models.CharField(max_length=100)
    phone = models.CharField(max_length=40, blank=True)
    language = models.CharField(max_length=5, default="en")
    units = models.CharField(max_length=2, default="us")
    is_active = models.BooleanField(default=True)
    times_signed_out = models.PositiveIntegerField(default=0)
    made_at = models.DateTimeField(auto_now_add=True)

    objects = People()
    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=~Q(name=""), name="person_has_a_name"),
            models.CheckConstraint(condition=Q(units__in=["us", "si"]), name="person_units"),
        ]

    def __str__(self) -> str:
        return self.name

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        # Signing out everywhere changes it, so that every open session ends.
        return salted_hmac(
            "haywright.person.session",
            f"{self.password}:{self.times_signed_out}",
            secret=secret,
            algorithm="sha256",
        ).hexdigest()


class Office(models.Model):
    """A county hay office: whose code stands on its bags, and what it has chosen."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    name = models.CharField(max_length=200)
    code = models.CharField(max_length=3, unique=True)
    phone = models.CharField(max_length=40, blank=True)
    call_name = models.CharField(max_length=100, blank=True)
    call_phone = models.CharField(max_length=40, blank=True)
    guide = models.CharField(max_length=60, blank=True)
    tdn_method = models.CharField(max_length=60, blank=True)
    units = models.CharField(max_length=2, default="us")
    paper = models.CharField(max_length=6, default="letter")
    currency = models.CharField(max_length=3, default="USD")
    time_zone = models.CharField(max_length=60, default="UTC")
    call_line = models.DecimalField(max_digits=9, decimal_places=2, default=1000)
    next_lot = models.PositiveIntegerField(default=1)
    next_bag = models.PositiveIntegerField(default=1)
    next_sheet = models.PositiveIntegerField(default=1)
    version = models.PositiveIntegerField(default=1)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(code__regex=r"^[A-Z]{3}$"), name="office_code"),
            models.CheckConstraint(condition=~Q(name=""), name="office_has_a_name"),
            models.CheckConstraint(condition=Q(call_line__gt=0), name="office_call_line"),
            models.CheckConstraint(condition=Q(next_bag__gte=1), name="office_next_bag"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> ZoneInfo:
        """Whose clock the office goes by."""
        return ZoneInfo(self.time_zone)

    def day_of(self, at: datetime) -> date:
        """The day an instant falls on where the office is."""
        return at.astimezone(self.zone).date()


class Ranch(models.Model):
    """A ranch of an office: its herd groups stand in ``facts``, in the form of a ranch form."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    office = models.ForeignKey(Office, models.PROTECT, related_name="ranches")
    name = models.CharField(max_length=120)
    facts = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=1)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint("office", Lower("name"), name="one_ranch_of_a_name"),
            models.CheckConstraint(condition=~Q(name=""), name="ranch_has_a_name"),
        ]

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    """What a person is to an office."""

    RANCHER = "rancher"
    EDUCATOR = "educator"
    TECHNICIAN = "technician"
    LAB_MANAGER = "lab_manager"
    OFFICE_ADMIN = "office_admin"


class Membership(models.Model):
    """A person in one role of one office; a rancher always of one ranch."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    person = models.ForeignKey(Person, models.PROTECT, related_name="memberships")
    office = models.ForeignKey(Office, models.PROTECT, related_name="memberships")
    ranch = models.ForeignKey(
        Ranch, models.PROTECT, related_name="memberships", null=True, blank=True
    )
    role = models.CharField(max_length=12, choices=Role.choices)
    until = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "office", "role", "ranch"],
                condition=Q(ranch__isnull=False),
                name="a_rancher_belongs_once",
            ),
            models.UniqueConstraint(
                fields=["person", "office", "role"],
                condition=Q(ranch__isnull=True),
                name="a_role_is_held_once",
            ),
            models.CheckConstraint(condition=Q(role__in=Role.values), name="membership_role"),
            models.CheckConstraint(
                condition=Q(role=Role.RANCHER, ranch__isnull=False)
                | (~Q(role=Role.RANCHER) & Q(ranch__isnull=True)),
                name="a_rancher_has_a_ranch",
            ),
        ]


class Invitation(models.Model):
    """Somebody asked to join; only the digest of its code is kept."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    office = models.ForeignKey(Office, models.PROTECT, related_name="invitations")
    ranch = models.ForeignKey(Ranch, models.PROTECT, null=True, blank=True)
    role = models.CharField(max_length=12, choices=Role.choices)
    name = models.CharField(max_length=100)
    email = models.EmailField(blank=True)
    digest = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    ends_at = models.DateTimeField()
    taken_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    taken_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("made_at")), name="invitation_ends"),
            models.CheckConstraint(
                condition=Q(role=Role.RANCHER, ranch__isnull=False)
                | (~Q(role=Role.RANCHER) & Q(ranch__isnull=True)),
                name="an_invited_rancher_has_a_ranch",
            ),
        ]


class SignInLink(models.Model):
    """A way in without a password: once by letter, or again and again from a printed square.

    Only the digest of its secret is kept.
    """

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    person = models.ForeignKey(Person, models.PROTECT, related_name="links")
    digest = models.CharField(max_length=64, unique=True)
    code_digest = models.CharField(max_length=64, blank=True, db_index=True)
    printed = models.BooleanField(default=False)
    made_at = models.DateTimeField(auto_now_add=True)
    ends_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("made_at")), name="link_ends")
        ]


class Token(models.Model):
    """A key for programs, with what it may do; only its digest is kept."""

    id = models.UUIDField(primary_key=True, default=new_key, editable=False)
    person = models.ForeignKey(Person, models.PROTECT, related_name="tokens")
    office = models.ForeignKey(Office, models.PROTECT, related_name="tokens")
    name = models.CharField(max_length=100)
    scopes = models.JSONField(default=list)
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    ends_at = models.DateTimeField(null=True, blank=True)
    used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
