"""Whom to call: the emergency card, the line at the head and the line in the foot.

Never a dose; everything defers to the veterinarian.
"""

from __future__ import annotations

from haywright.bunk.hazards.nitrate import told
from haywright.paper.blocks import Block
from haywright.paper.speaker import Speaker
from haywright.way.office import Office
from haywright.words.numbers import NBSP


def call_card(office: Office, words: Speaker) -> Block:
    """Signs, four orders, name and telephone number large."""
    signs, *steps = words.every(told.emergency())
    return {
        "kind": "call",
        "title": signs.rstrip(":"),
        "steps": steps,
        "who": words("paper.call.who", name=office.call_name) if office.call_name else "",
        "number": office.call_phone or words("paper.call.no_number"),
    }


def unparted(phone: str) -> str:
    """A telephone number that no line can break."""
    return phone.replace(" ", NBSP)


def call_line(office: Office, words: Speaker) -> str:
    """The line at the head of every paper; nothing without a number."""
    return (
        words("paper.call.head_line", phone=unparted(office.call_phone))
        if office.call_phone
        else ""
    )


def foot_line(office: Office, words: Speaker) -> str:
    """The card in one line, for the foot of every page of a restricted sheet."""
    if office.call_phone:
        return words("paper.call.foot", phone=unparted(office.call_phone))
    return words("paper.call.foot_no_number")
