"""Spanish: what is translated is whole, says what the English says, and promises no more."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files
from string import Formatter

import pytest

from haywright.measure.analytes import dictionary
from haywright.paper.speaker import Speaker
from haywright.sheet.usual import feed
from haywright.sources.animals import kinds
from haywright.sources.bibliography import Status, bibliography, cite
from haywright.sources.crops import crops
from haywright.sources.tables import load_toml
from haywright.way.equations import equation_book
from haywright.words.catalogue import Entry, catalogue, name_in, names
from haywright.words.numbers import Reader, unit_label
from tests.house.reading import listed

# Whoever adds a text to one of these adds its Spanish too.
WHOLE = {
    "the verdict": (
        "bunk.animals", "bunk.class", "bunk.emergency", "bunk.fed", "bunk.nitrate",
        "bunk.share", "office.call", "office.feed", "paper.call", "paper.caution",
        "paper.decision", "paper.mind", "paper.nitrate",
    ),
    "the test sheet": (
        "measure", "office.compare", "office.number", "office.read", "office.sheet",
        "paper.about", "paper.above", "paper.amount", "paper.bag", "paper.bag_of",
        "paper.below", "paper.derived", "paper.energy", "paper.evidence", "paper.flag",
        "paper.form", "paper.grades", "paper.held", "paper.held_back", "paper.interim",
        "paper.kind", "paper.large", "paper.lot", "paper.missing", "paper.name",
        "paper.number", "paper.of_dry_matter", "paper.page", "paper.pending", "paper.range",
        "paper.recalled", "paper.results", "paper.rule", "paper.sheet", "paper.short",
        "paper.species", "paper.stack", "sheet.flag", "sheet.form", "sheet.usual",
    ),
    "coming in": (
        "office.begin", "office.deed", "office.form", "office.join", "office.keys",
        "office.letter", "office.role", "office.settings", "office.sign_in", "office.today",
        "office.units", "paper.way_in", "people.account", "people.mail", "people.me",
        "people.often",
    ),
    "around every page": (
        "office.bag", "office.bags", "office.brings", "office.history", "office.lot",
        "office.lots", "office.name",
        "office.next", "office.pass", "office.place", "office.place_under", "office.print",
        "office.refused", "office.room", "office.rooms", "office.sign_out", "office.skip",
        "office.stage", "office.step", "office.taken", "office.way", "office.yard",
        "people.ranches",
    ),
}  # fmt: skip
PROMISE = re.compile(r"\b(in)?segur[oa]s?\b|\binocu[oa]|\bsin (riesgo|peligro)\b", re.IGNORECASE)
NUMERAL = re.compile(r"\d[\d,.]*\d|\d")
NAMED = ("bench_methods", "drying", "events", "extractants", "storage_kinds", "tests")
AMOUNTS = {"of dry matter", "as it stands", "per short ton", "per tonne", "per lb", "per kg"}


def texts(entry: Entry) -> str:
    return f"{entry.singular} {entry.text}"


def places(entry: Entry) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(texts(entry)) if name}


@pytest.mark.parametrize("scope", WHOLE)
def test_every_text_of_a_scope_stands_in_spanish(scope):
    spanish = catalogue("es")
    for start in WHOLE[scope]:
        held = [k for k in catalogue("en") if k == start or k.startswith(f"{start}.")]
        assert held, f"nothing begins with {start}"
        missing = [one for one in held if one not in spanish]
        assert not missing, listed(missing)


def test_a_spanish_text_has_the_places_the_numbers_and_the_singular_of_the_english():
    english, findings = catalogue("en"), []
    for key, entry in catalogue("es").items():
        assert key in english, f"{key} is no key"
        other = english[key]
        if places(entry) != places(other):
            findings.append(f"{key}: {sorted(places(entry))}, English {sorted(places(other))}")
        if bool(entry.singular) != bool(other.singular):
            findings.append(f"{key}: singular in one language only")
        if sorted(NUMERAL.findall(entry.text)) != sorted(NUMERAL.findall(other.text)):
            findings.append(f"{key}: other numbers than the English")
    assert not findings, listed(findings)


def test_no_spanish_text_promises_that_nothing_can_happen():
    held = {key: texts(one) for key, one in catalogue("es").items()} | names("es")
    findings = [f"{key}: {text}" for key, text in held.items() if PROMISE.search(text)]
    assert not findings, listed(findings)


def test_every_translated_name_stands_in_a_table():
    entries = dictionary().values()
    there = {one.name for one in entries} | {one.basis for one in entries}
    there |= {one.unit for one in entries} | {unit_label(one.unit, Reader()) for one in entries}
    there |= {unit_label(one, Reader()) for one in ("short_ton", "long_ton", "tonne", "lb/ft3")}
    there |= {one.name for one in equation_book()} | {one.name for one in crops().values()}
    there |= {one.name for one in kinds().values()} | AMOUNTS
    there |= {unit_label(one, Reader()) for one in ("ft3", "day")}
    there |= {one.name for one in usual_feeds()} | {one.line for one in own_sources()} | by_whom()
    for table in NAMED:
        there |= {str(one["name"]) for one in load_toml(table).values()}
    assert not set(names("es")) - there, listed(sorted(set(names("es")) - there))


def test_every_crop_kind_of_stock_and_method_has_its_spanish_name():
    held = [one.name for one in (*crops().values(), *kinds().values())]
    held += [str(one["name"]) for table in NAMED for one in load_toml(table).values()]
    assert not [one for one in held if one not in names("es")]


def usual_feeds():
    """Every hay that stands beside another as usual."""
    table = load_toml("usual_hay")
    ids = {one for part in ("rows", "kinds") for row in table[part].values() for one in row}
    return [feed(one) for one in ids]


def own_sources():
    """What is named as a source and is no publication: its line is a sentence of ours."""
    ours = (Status.DEFINITION, Status.PRACTICE)
    return [one for one in bibliography().values() if one.status in ours]


def by_whom():
    """Who sampled, who read and who eats it, as the lots to try it with have it."""
    written = files("haywright").joinpath("examples").rglob("*.toml")
    held = [tomllib.loads(one.read_text("utf-8")) for one in written]
    named = {str(one[name]) for one in held for name in ("sampler", "analyst") if name in one}
    groups = [group for one in held for group in one.get("group", [])]
    return named | {str(group["name"]) for group in groups if "name" in group}


def test_every_hay_that_stands_beside_another_has_its_spanish_name():
    assert not [one.name for one in usual_feeds() if one.name not in names("es")]


def test_what_a_number_of_the_sheet_rests_on_is_said_in_spanish_unless_it_was_printed():
    balance = cite("mass-balance").line
    assert Speaker(Reader(language="es")).source("mass-balance") == names("es")[balance]
    method = "Nitrate by cadmium reduction, flow injection; 2 % acetic acid"
    assert "acetic" not in Speaker(Reader(language="es")).method(method)


def test_a_name_keeps_its_capital_and_one_that_is_not_known_stays():
    assert name_in("oats", "es") == "avena"
    assert name_in("Oats", "es") == "Avena"
    assert name_in("Lower oats", "es") == "Lower oats"
    assert name_in("Oats", "en") == "Oats"
