"""Tags pages are written with: words, fields, the way, and the pieces papers are made of."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Any

from django import template
from django.templatetags.static import static
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.timezone import localdate

from haywright.bag.tests import lab_test
from haywright.measure.message import Amount, Message
from haywright.office.web.words import reader_of
from haywright.words import say as said
from haywright.words.numbers import date_text

register = template.Library()
FEW = 4
_ADDRESS = re.compile(r"(https?://\S+)")
NARROW = 30  # letters beside each other on a phone


@register.simple_tag(takes_context=True)
def say(context: template.Context, key: str, **args: Any) -> str:
    """The text of a message key for whoever reads the page."""
    return said(Message(key, args), reader_of(context.get("request")))


@register.simple_tag(takes_context=True)
def speak(context: template.Context, message: Message | str) -> str:
    """A message as text."""
    if isinstance(message, Message):
        return said(message, reader_of(context.get("request")))
    return message


@register.filter
def dialled(number: object) -> str:
    """A telephone number as a telephone takes it: figures and the plus sign."""
    return "".join(c for c in str(number) if c.isdigit() or c == "+")


@register.filter
def whole(text: object) -> SafeString:
    """A text whose addresses wrap anywhere and are taken up whole with one touch."""
    pieces = (
        format_html('<strong class="long">{}</strong>' if place % 2 else "{}", one)
        for place, one in enumerate(_ADDRESS.split(str(text)))
    )
    return format_html_join("", "{}", ((one,) for one in pieces))


@register.simple_tag
def static_file(name: str) -> str:
    """Address of a file the package ships."""
    return static(name)


@register.inclusion_tag("haywright/parts/field.html")
def field(field: Any, unit: str = "", *, all: bool = False) -> dict[str, Any]:  # noqa: A002
    """One field of a form, its unit inside the frame, its errors beneath.

    A field may say why each of its choices is there (``grouped``: value -> reason): choices of
    one reason stand together beneath it.
    """
    held = {"field": field, "unit": unit or getattr(field.field, "unit", ""), "all": all}
    if getattr(field.field, "choices", None):
        reasons = getattr(field.field, "grouped", {})
        groups: dict[str, list[Any]] = {}
        for one in field:
            groups.setdefault(reasons.get(str(one.data["value"]), ""), []).append(one)
        held["groups"] = list(groups.items())
    return held


@register.inclusion_tag("haywright/parts/section.html", takes_context=True)
def section(context: template.Context, section: dict[str, Any]) -> dict[str, Any]:
    """A side-head and its matter, as papers have it."""
    return {"section": section, "request": context.get("request")}


@register.inclusion_tag("haywright/parts/branches.html")
def branches(branches: list[dict[str, Any]]) -> dict[str, Any]:
    """An evidence tree."""
    return {"branches": branches}


@register.inclusion_tag("haywright/parts/piece.html", takes_context=True)
def piece(context: template.Context, block: dict[str, Any]) -> dict[str, Any]:
    """One piece of a paper as it stands on a page."""
    out: dict[str, Any] = {"block": block, "request": context.get("request")}
    if block["kind"] in ("caution", "tree", "ticks"):
        out["list"] = block["items"]
    if block["kind"] == "table":
        out["columns"] = list(zip(block["head"], block["align"], strict=True))
        out["rows"] = [_row(block, row) for row in block["rows"]]
        out["shares"] = any(one["share"] is not None for row in out["rows"] for one in row)
        out["narrow"] = _narrow(out["rows"], block["head"])
    if block["kind"] == "picture":
        out["svg"] = picture(block)
    if block["kind"] == "call":
        out["phone"] = dialled(block["number"])
    return out


def _narrow(rows: list[list[dict[str, Any]]], head: list[Any]) -> bool:
    """Whether a table fits a phone as it is, so that its rows need not be taken apart."""
    lines = [[str(one) for one in head], *([str(c["text"]) for c in row] for row in rows)]
    plain = not any(c["small"] or c["share"] is not None for row in rows for c in row)
    return plain and sum(max(map(len, column)) for column in zip(*lines, strict=True)) <= NARROW


def _row(block: dict[str, Any], row: list[Any]) -> list[dict[str, Any]]:
    cells = []
    for held, head, side in zip(row, block["head"], block["align"], strict=True):
        cell = held if isinstance(held, dict) else {"text": held}
        share = cell.get("share")
        cells.append(
            {
                "text": cell.get("text", ""),
                "small": cell.get("small", ""),
                "share": None if share is None else f"{100 * share:.0f}",
                "filled": bool(cell.get("text") or cell.get("small") or share is not None),
                "of": head,
                "side": side,
            }
        )
    return cells


def picture(block: dict[str, Any]) -> SafeString:
    """A drawing of ours as it stands in a page; its texts were escaped when it was drawn."""
    return mark_safe(str(block["svg"]))  # noqa: S308 - made by paper, which escapes every text


@register.simple_tag(takes_context=True)
def day(context: template.Context, when: Any) -> str:
    """A day that cannot be misread."""
    held = localdate(when) if isinstance(when, datetime) else when
    return date_text(held, reader_of(context.get("request")))


@register.simple_tag(takes_context=True)
def stage(context: template.Context, name: str) -> str:
    """Where a bag is, in words."""
    return say(context, f"office.stage.{name}")


@register.simple_tag(takes_context=True)
def role(context: template.Context, name: str) -> str:
    """A role in words."""
    return say(context, f"office.role.{name}")


@register.simple_tag(takes_context=True)
def tests(context: template.Context, ids: list[str]) -> str:
    """Tests by name."""
    own = reader_of(context.get("request")).name
    return ", ".join(own(lab_test(one).name) for one in ids)


@register.simple_tag(takes_context=True)
def few_tests(context: template.Context, ids: list[str]) -> str:
    """The first tests by name, and how many more."""
    if len(ids) <= FEW:
        return tests(context, ids)
    named = tests(context, ids[: FEW - 1])
    return say(context, "office.bags.few_tests", names=named, n=len(ids) - FEW + 1)


@register.simple_tag(takes_context=True)
def heat(context: template.Context, celsius: Any) -> str:
    """A temperature in the reader's own degrees."""
    return say(context, "paper.amount", amount=Amount(float(celsius), "degC", digits=0))


@register.simple_tag
def bar(held: dict[str, Any]) -> SafeString | str:
    """The bar of usual hay, or the words that stand in its place."""
    return picture(held) if held.get("svg") else str(held.get("alt", ""))


@register.simple_tag
def hidden(name: str, value: object) -> str:
    """A hidden field."""
    return format_html('<input type="hidden" name="{}" value="{}">', name, value)


@register.inclusion_tag("haywright/parts/way.html", takes_context=True)
def way(context: template.Context, steps: list[dict[str, Any]]) -> dict[str, Any]:
    """The six places as a footpath, with where the lot stands."""
    return {"steps": steps, "request": context.get("request")}
