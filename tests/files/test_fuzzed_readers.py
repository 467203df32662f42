"""Whatever bytes a reader is fed, a person gets readings or words, never a traceback."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.files.readers import READERS, fed, seed

ROOT = Path(__file__).parents[2]
RUNS = 800
SLIPS = [
    b"", b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b'"', b"''", b"\r", b"\n\n", b";", b",", b"\t",
    b"<", b"-", b"1e999", b"nan", b"9" * 5000, b"\xc2\xb2", b"\xd9\xa3", b"=A1", b"1.234.5", b"[[",
    b"[", b"= ", b"{", b"0x1", b"2026-13-45", b"true", b"</row>", b'r="99999999999"',
    b'ref="A1:XFD1048576"', b'number-rows-repeated="999999999"', b"&a;", b"<!DOCTYPE",
]  # fmt: skip


@st.composite
def mutated(draw, sound):
    """Sound input with up to four places cut, doubled or written over."""
    data = sound
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(data)))
        end = draw(st.integers(at, min(len(data), at + 40)))
        put = draw(
            st.one_of(st.sampled_from(SLIPS), st.binary(max_size=8), st.just(data[at:end] * 2))
        )
        data = data[:at] + put + data[end:]
    return data


@pytest.mark.parametrize("name", READERS)
@given(data=st.binary(max_size=400))
@settings(max_examples=50, deadline=None)
def test_any_bytes_are_read_or_refused_in_words(name, data):
    assert all(fed(name, data))


@pytest.mark.parametrize("name", [one for one in READERS if one != "raw"])
@given(data=st.data())
@settings(max_examples=120, deadline=None)
def test_sound_input_with_slips_is_read_or_refused_in_words(name, data):
    assert all(fed(name, data.draw(mutated(READERS[name][1].encode()))))


@cache
def sound_workbook():
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as workbook:
        sheet = workbook.add_worksheet("S")
        sheet.write_row(0, 0, ["Cup", "Name", "Height"])
        sheet.write_row(1, 0, [1, "blank 1", 0.0034])
        sheet.write_number(2, 0, 2)
        sheet.write_formula(2, 2, "=C2*2", None, 0.0068)
    return out.getvalue()


@given(data=st.data())
@settings(max_examples=150, deadline=None)
def test_a_damaged_workbook_is_read_or_refused_in_words(data):
    assert all(fed("raw", data.draw(mutated(sound_workbook()))))


@given(data=st.binary(max_size=2000))
@settings(max_examples=60, deadline=None)
def test_an_old_workbook_of_any_bytes_is_refused_in_words(data):
    assert fed("raw", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + data)


def test_sound_input_is_read_by_each_reader():
    said = {name: fed(name, sound.encode()) for name, (_, sound) in READERS.items()}
    assert [name for name, words in said.items() if not words] == [
        "batch_form", "readings", "columns", "open_book",
    ]  # fmt: skip
    assert fed("raw", sound_workbook()) == ()


def what_coverage_finds(tmp_path):
    corpus = tmp_path / "corpus"
    corpus.mkdir()
    for name in READERS:
        (corpus / name).write_bytes(seed(name))
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT)])
    ran = subprocess.run(
        [
            sys.executable, str(ROOT / "tests" / "files" / "fuzz_by_coverage.py"), str(corpus),
            f"-runs={RUNS}", "-seed=1", "-max_len=1500", f"-artifact_prefix={tmp_path}/",
        ],
        capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": paths},
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr[-3000:]
    assert f"Done {RUNS} runs" in ran.stderr
    assert not list(tmp_path.glob("crash-*"))


# The fuzzer is installed where it runs; elsewhere this check is not among the tests.
if sys.platform == "linux" and sys.version_info < (3, 14):

    def test_what_coverage_finds_is_read_or_refused_in_words(tmp_path):
        what_coverage_finds(tmp_path)
