"""Fields of the library of accounts, in our words."""

from __future__ import annotations

from typing import Any

from django import template

from haywright.measure.message import Message
from haywright.office.web.words import reader_of
from haywright.words import say

register = template.Library()


@register.inclusion_tag("haywright/parts/field.html", takes_context=True)
def door_field(context: template.Context, held: Any) -> dict[str, Any]:
    """One field: our label, no hint inside the frame, none of the library's help beneath."""
    reader = reader_of(context.get("request"))
    held.label = say(Message(f"people.account.field.{held.name}", {}), reader)
    held.help_text = ""
    held.field.widget.attrs.pop("placeholder", None)
    return {"field": held, "unit": "", "all": False}
