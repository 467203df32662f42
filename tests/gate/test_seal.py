"""The text of a sealed paper: every byte comes back, nothing else is taken for it."""

from __future__ import annotations

import pytest
import segno
from hypothesis import given
from hypothesis import strategies as st

from haywright.gate.seal.base45 import ALPHABET, decode, encode, length
from haywright.gate.seal.qr_capacity import LEVELS, VERSIONS, capacity, smallest_version
from haywright.measure.errors import Refused


@given(st.binary(max_size=600))
def test_bytes_come_back_and_take_the_length_foretold(data):
    text = encode(data)
    assert decode(text) == data
    assert len(text) == length(len(data))


@given(st.text(alphabet=ALPHABET, max_size=60))
def test_no_two_texts_give_the_same_bytes(text):
    try:
        data = decode(text)
    except Refused:
        return
    assert encode(data) == text


@pytest.mark.parametrize("text", ["GGW", ":::", "A", "ab", "Ä0", "0\n0", "::"])
def test_what_is_no_base45_is_refused(text):
    # RFC 9285: FGW is 65535, so GGW is beyond two bytes.
    with pytest.raises(Refused):
        decode(text)


def test_examples_of_the_rfc():
    # RFC 9285, sections 4.3 and 4.4 (recalled).
    assert encode(b"base-45") == "UJCLQE7W581"
    assert decode("QED8WEX0") == b"ietf!"


@given(st.sampled_from(VERSIONS), st.sampled_from(LEVELS))
def test_stronger_protection_and_smaller_codes_hold_less(version, level):
    here = capacity(version, level)
    assert here.numeric > here.alphanumeric > here.byte
    if version > 1:
        assert capacity(version - 1, level).alphanumeric < here.alphanumeric
    stronger = LEVELS[min(LEVELS.index(level) + 1, 3)]
    assert capacity(version, stronger).byte <= here.byte


def test_a_code_of_the_largest_size_printed_holds_a_sealed_paper():
    # ISO/IEC 18004: version 14 at level M holds 528 alphanumeric characters.
    assert capacity(14, "M").alphanumeric == 528
    assert smallest_version(528, "M") == 14
    assert smallest_version(529, "M") == 15


@pytest.mark.parametrize("level", ["M", "H"])
@pytest.mark.parametrize("version", [1, 9, 10, 14, 26, 27, 40])
def test_a_code_made_by_a_library_holds_just_as_many_characters(version, level):
    room = capacity(version, level)
    for mode, most, letter in (
        ("numeric", room.numeric, "7"),
        ("alphanumeric", room.alphanumeric, "H"),
        ("byte", room.byte, "h"),
    ):
        given = {"version": version, "error": level, "mode": mode, "boost_error": False}
        assert segno.make(letter * most, **given).version == version
        with pytest.raises(segno.DataOverflowError):
            segno.make(letter * (most + 1), **given)


@pytest.mark.parametrize(("version", "level"), [(0, "M"), (41, "M"), (10, "X")])
def test_codes_that_do_not_exist_are_refused(version, level):
    with pytest.raises(Refused):
        capacity(version, level)


def test_more_than_any_code_holds_is_refused():
    with pytest.raises(Refused):
        smallest_version(5000, "M")
