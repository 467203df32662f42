"""The demo ranch's winter, answered once for every test that reads it."""

from __future__ import annotations

from functools import cache

from haywright.cli.bunk_winter import plan_of_form
from haywright.cli.bunk_winter_lines import winter_json, winter_lines
from haywright.files.office import demo_folder
from haywright.words import Reader, say

FORM = demo_folder() / "ranches" / "three-gates.toml"


@cache
def answered():
    return plan_of_form(FORM)


@cache
def printed(units="us", week=0):
    answer, changes = answered()
    lines = winter_lines(answer, changes, week=week, units=units)
    who = Reader(units=units)
    return [line if isinstance(line, str) else say(line, who) for line in lines]


@cache
def as_json():
    return winter_json(*answered())
