"""Paper is set from plain data in our own faces, the same bytes from the same data."""

from __future__ import annotations

import copy
import re
import subprocess
import sys

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.paper.typeset import FONTS, TEMPLATES, UNPRINTABLE, covered, printable, set_pdf
from tests.paper import sample
from tests.paper.reading import fonts_of, reader, text_of

HOSTILE = "Dahl #let x = 1 $x^2$ [box] *bold* _it_ `raw` @preview/a:0.1.0 <tag> \\ // ~ = head"
FACES = {"SourceSans3-Regular", "SourceSans3-Semibold", "SourceSerif4-Regular",
         "SourceSerif4-Semibold", "SourceSerif4-It"}  # fmt: skip


@pytest.fixture(scope="module")
def sheet() -> bytes:
    return set_pdf("test_sheet", sample.sheet())


def test_every_face_is_one_of_ours_and_lies_inside_the_file(sheet):
    fonts = fonts_of(sheet)
    assert len(fonts) >= 3
    for name, inside in fonts:
        assert inside, name
        assert name.lstrip("/").partition("+")[2] in FACES


def test_the_file_says_that_it_can_be_read_aloud(sheet):
    document = reader(sheet)
    assert document.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert document.trailer["/Root"]["/Lang"] == "en"
    assert "pdfuaid" in document.xmp_metadata.stream.get_data().decode()
    assert document.metadata.title == "Test sheet 1, Lower bench oats"


def test_the_numbers_can_be_copied_out(sheet):
    text = text_of(sheet)
    for number in ("88.4", "9.6", "59.1", "1,120", "890 to 1,460", "4,960", "36.7 to 39.7",
                   "0.5013", "555 0142"):  # fmt: skip
        assert number in text


def test_the_emergency_number_stands_on_every_page(sheet):
    pages = reader(sheet).pages
    assert len(pages) == 2
    for page in pages:
        assert "call 555 0142" in page.extract_text()


def test_pages_are_counted(sheet):
    first, second = (re.sub(r"\s+", " ", p.extract_text()) for p in reader(sheet).pages)
    assert "Page 1 of 2" in first
    assert "Page 2 of 2" in second


def test_the_verdict_is_the_largest_thing_and_comes_before_the_numbers(sheet):
    text = text_of(sheet)
    assert text.index("Too close to call.") < text.index("Dry matter") < text.index("Stop the feed")


def test_the_same_data_gives_the_same_bytes(sheet):
    assert set_pdf("test_sheet", sample.sheet()) == sheet


def test_another_number_gives_another_paper(sheet):
    other = copy.deepcopy(sample.sheet())
    other["five"]["rows"][0]["value"] = "88.5"
    assert set_pdf("test_sheet", other) != sheet


def test_markup_in_a_name_stays_a_name():
    text = text_of(set_pdf("test_sheet", sample.sheet(rancher=HOSTILE)))
    assert re.sub(r"\s+", "", HOSTILE) in re.sub(r"\s+", "", text)


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_the_office_chooses_the_paper(paper):
    wide, high = {"us-letter": (612, 792), "a4": (595.28, 841.89)}[paper]
    box = reader(set_pdf("test_sheet", sample.sheet(paper=paper))).pages[0].mediabox
    assert float(box.width) == pytest.approx(wide, abs=0.1)
    assert float(box.height) == pytest.approx(high, abs=0.1)


def test_a_table_longer_than_a_page_goes_on_with_its_heads():
    pages = reader(set_pdf("test_sheet", sample.sheet(rows=90))).pages
    heads = [
        page for page in pages if "Likely, laboratory" in re.sub(r"\s+", " ", page.extract_text())
    ]
    assert len(heads) >= 2


def test_a_letter_that_no_face_has_leaves_a_square_and_stops_nothing():
    text = text_of(set_pdf("test_sheet", sample.sheet(rancher="牛 ranch \x07\u202e Dvořák")))
    assert f"{UNPRINTABLE} ranch Dvořák" in text


@settings(max_examples=200, deadline=None)
@given(st.text())
def test_any_text_becomes_printable(text):
    made = printable({"a": [text]})["a"][0]
    assert all(ord(one) in covered() or one in "\n\t" for one in made)


@given(st.text(alphabet=st.characters(min_codepoint=0x20, max_codepoint=0x7E)))
def test_plain_text_is_left_alone(text):
    assert printable(text).replace("₃", "3") == text


def test_the_figure_of_nitrate_is_set_low():
    assert printable("890 mg/kg NO3-N, 3,940 NO3; NO31") == "890 mg/kg NO₃-N, 3,940 NO₃; NO31"


def test_the_list_of_covered_characters_is_that_of_the_faces():
    faces = sorted(FONTS.glob("*.ttf"))
    assert {face.stem for face in faces} == FACES
    sans = [set(TTFont(face).getBestCmap()) for face in faces if "Sans" in face.stem]
    assert covered() == set.intersection(*sans)


def test_templates_fetch_nothing_and_say_nothing_of_their_own():
    for template in TEMPLATES.glob("*.typ"):
        source = template.read_text(encoding="utf-8")
        imports = re.findall(r'#(?:import|include)\s+"([^"]+)"', source)
        assert set(imports) <= {"theme.typ"}, template.name
        assert "@" not in source, template.name
        code = re.sub(r"//[^\n]*", "", source)
        literals = re.findall(r'"([^"]*)"', code)
        assert not [one for one in literals if len(one.split()) > 3], template.name


def test_nothing_is_printed_smaller_than_eight_and_a_half_points(sheet):
    sizes = {}

    def seen(text, _, matrix, __, size):
        if text.strip():
            sizes[text.strip()] = round(size * abs(matrix[0] or matrix[1]), 2)

    for page in reader(sheet).pages:
        page.extract_text(visitor_text=seen)
    assert max(sizes.values()) == 21
    assert min(sizes.values()) >= 8.5, sizes


def test_paper_is_imported_without_the_typesetter_or_the_chart_drawer():
    asked = (
        "import sys, haywright.paper.decision_paper, haywright.paper.plan_paper, "
        "haywright.paper.label_paper; "
        "print([m for m in ('typst', 'vl_convert', 'segno', 'scipy') if m in sys.modules])"
    )
    said = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"
