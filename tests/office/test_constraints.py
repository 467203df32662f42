"""Each named constraint of the database refuses its bad row, whoever writes past the forms."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, models, transaction

from haywright.office.keys import new_key

AT = datetime(2026, 9, 10, 12, tzinfo=UTC)

# Constraint -> (table's model, what is wrong about an otherwise good row of it).
BAD = {
    "person_has_a_name": ("people.Person", {"name": ""}),
    "person_units": ("people.Person", {"units": "xx"}),
    "office_code": ("people.Office", {"code": "ab1"}),
    "office_has_a_name": ("people.Office", {"name": ""}),
    "office_call_line": ("people.Office", {"call_line": Decimal(0)}),
    "office_next_bag": ("people.Office", {"next_bag": 0}),
    "ranch_has_a_name": ("people.Ranch", {"name": ""}),
    "one_ranch_of_a_name": ("people.Ranch", {"name": "JUNIPER FLAT"}),
    "membership_role": ("people.Membership", {"role": "owner", "ranch_id": None}),
    "a_rancher_has_a_ranch": ("people.Membership", {"role": "rancher", "ranch_id": None}),
    "a_role_is_held_once": ("people.Membership", {"ranch_id": None, "role": "educator"}),
    "a_rancher_belongs_once": ("people.Membership", {}),
    "invitation_ends": ("people.Invitation", {"ends_at": AT.replace(year=2000)}),
    "an_invited_rancher_has_a_ranch": ("people.Invitation", {"role": "rancher", "ranch_id": None}),
    "link_ends": ("people.SignInLink", {"ends_at": AT.replace(year=2000)}),
    "lot_has_a_name": ("stack.Lot", {"name": ""}),
    "lot_form": ("stack.Lot", {"form": "straw hat"}),
    "lot_purpose": ("stack.Lot", {"purpose": "gift"}),
    "lot_state": ("stack.Lot", {"state": "lost"}),
    "lot_has_bales": ("stack.Lot", {"bales": 0}),
    "a_bale_weighs_something": ("stack.Lot", {"mean_bale_kg": Decimal(0)}),
    "lot_cutting": ("stack.Lot", {"cutting": 21}),
    "lot_hay_year": ("stack.Lot", {"hay_year": 1066}),
    "one_lot_of_a_number": ("stack.Lot", {}),
    "kinship_has_bales": ("stack.Kinship", {"bales": 0}),
    "kinship_price": ("stack.Kinship", {"price": Decimal(-1)}),
    "only_a_sale_leads_away": ("stack.Kinship", {"kind": "split", "into_id": None}),
    "temperature_believable": ("stack.Temperature", {"celsius": Decimal(500)}),
    "bag_taken": ("bag.Bag", {"taken": "spoon"}),
    "bag_stage": ("bag.Bag", {"stage": "lost"}),
    "a_sealed_bag_weighs_something": ("bag.Bag", {"mass_sealed_g": Decimal(0)}),
    "a_received_bag_weighs_something": ("bag.Bag", {"mass_received_g": Decimal(0)}),
    "one_bag_of_a_number": ("bag.Bag", {"code": "SDG-OTHER"}),
    "hand_over_stage": ("bag.HandOver", {"stage": "lost"}),
    "somebody_has_the_bag": ("bag.HandOver", {"who": ""}),
    "one_laboratory_of_a_name": ("bench.Laboratory", {}),
    "one_batch_of_a_name": ("bench.Batch", {}),
    "a_release_has_a_reason_and_a_name": ("bench.Batch", {"released_why": "looked at"}),
    "a_correction_has_a_reason": ("bench.Reading", {"reason": ""}),
    "result_kind": ("bench.Result", {"kind": "guessed"}),
    "result_state": ("bench.Result", {"state": "lost"}),
    "a_changed_result_has_a_reason": ("bench.Result", {"reason": ""}),
    "one_sheet_of_a_number": ("sheet.Sheet", {"part": "east"}),
    "one_sheet_of_a_part": ("sheet.Sheet", {"number": 77}),
    "sheet_nitrate_state": ("sheet.Sheet", {"number": 77, "part": "east", "nitrate_state": "some"}),
    "one_version_of_a_number": ("sheet.Version", {}),
    "an_amended_version_says_why": ("sheet.Version", {"amended": True, "reason": ""}),
    "note_says": ("sheet.Note", {"text": ""}),
    "read_link_ends": ("sheet.ReadLink", {"ends_at": AT.replace(year=2000)}),
    "somebody_was_called": ("sheet.Call", {"called": ""}),
    "one_entry_of_a_number": ("ledger.Entry", {"digest": "x", "previous": "y", "once": None}),
    "one_entry_of_a_digest": ("ledger.Entry", {"number": 99, "previous": "y", "once": None}),
    "the_chain_never_forks": ("ledger.Entry", {"number": 99, "digest": "x", "once": None}),
    "a_deed_is_done_once": ("ledger.Entry", {"number": 99, "digest": "x", "previous": "y"}),
    "entry_numbers_from_one": ("ledger.Entry", {"number": 0, "digest": "x", "once": None}),
}
# Only these may meet a row that is there already; every other is a row of its own.
TWICE = {
    name
    for name in BAD
    if name.startswith(("one_", "the_chain"))
    or name.endswith(("_once",))
}  # fmt: skip


@pytest.fixture
def there(cast, lot, bag, sheet):
    """One good row in every table that has a constraint."""
    educator, far = cast.people["educator"], AT.replace(year=2090)
    make = {
        "people.Invitation": {"office": cast.office, "role": "educator", "name": "New",
                              "digest": "i", "made_by": educator, "ends_at": far},
        "people.SignInLink": {"person": educator, "digest": "s", "ends_at": far},
        "stack.Kinship": {"kind": "sold", "of": lot, "bales": 4, "on": date(2026, 9, 10)},
        "stack.Temperature": {"lot": lot, "celsius": Decimal(31), "taken_at": AT},
        "bench.Laboratory": {"office": cast.office, "name": "Plain laboratory"},
        "bench.Batch": {"office": cast.office, "name": "b1", "determination": "nitrate",
                        "run_on": date(2026, 9, 14), "held": False},
        "sheet.Note": {"sheet": sheet, "text": "Feed it slowly.", "by": educator},
        "sheet.ReadLink": {"sheet": sheet, "digest": "r", "by": educator, "ends_at": far},
        "sheet.Call": {"version": sheet.versions.first(), "called": "the ranch", "reached": True,
                       "at": AT, "by": educator},
    }  # fmt: skip
    for name, told in make.items():
        model = apps.get_model(name)
        if not model.objects.filter(**{k: told[k] for k in ("name",) if k in told}).exists():
            model.objects.create(**told)
    batch = apps.get_model("bench.Batch").objects.get()
    apps.get_model("bench.Reading").objects.create(
        batch=batch, position=1, kind="sample", sample=bag.code, name="mV", written="1"
    )
    return cast


def bad_row(name):
    """A copy of a good row under a new key, with what is wrong about it."""
    label, wrong = BAD[name]
    model = apps.get_model(label)
    rows = model.objects.order_by("pk")
    if name == "a_rancher_belongs_once":
        rows = rows.filter(role="rancher")
    if name == "a_role_is_held_once":
        rows = rows.filter(role="educator")
    row = rows.first()
    key = row.pk
    row.pk = new_key()
    if name not in TWICE:
        apart(model, row)
    for field, value in wrong.items():
        setattr(row, field, value)
    if name in ("a_correction_has_a_reason", "a_changed_result_has_a_reason"):
        setattr(row, "corrects_id" if model.__name__ == "Reading" else "replaces_id", key)
    if name == "a_deed_is_done_once":
        row.once = rows.exclude(once=None).first().once
    row._state.adding = True
    return row


def apart(model, row):
    """Make a copied row differ from its pattern wherever a row must be the only one."""
    unique = {
        field.name
        for held in model._meta.constraints
        if isinstance(held, models.UniqueConstraint)
        for field in (model._meta.get_field(name) for name in held.fields)
    } | {field.name for field in model._meta.fields if field.unique}
    other = {"number": 77, "digest": "other", "previous": "other", "name": "Other", "part": "east",
             "email": "other@example.org", "code": "QQQ", "once": None}  # fmt: skip
    for name in unique & set(other):
        setattr(row, name, other[name])
    if model.__name__ == "Ranch":
        row.name = "Other"


def test_every_constraint_is_tried():
    named = {
        held.name
        for model in apps.get_models()
        if model.__module__.startswith("haywright.")
        for held in model._meta.constraints
    }
    assert named == set(BAD)


@pytest.mark.parametrize("name", sorted(BAD))
def test_the_database_refuses_the_bad_row(there, name):
    if name == "a_deed_is_done_once":
        from haywright.office.people.actions import describe_ranch

        describe_ranch(there.actor("educator"), "Third", once="sent")
    row = bad_row(name)
    with pytest.raises(DatabaseError) as refused, transaction.atomic():
        row.save_base(raw=True, force_insert=True)
    said = str(refused.value)
    if connection.vendor == "postgresql" or "CHECK" in said:
        assert name in said
    else:
        assert "UNIQUE" in said
        assert name in TWICE
