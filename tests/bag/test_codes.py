"""Bag codes: ISO/IEC 7064 MOD 97-10, and what a slip of the pen turns into."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bag.codes import (
    OFFICE_LETTERS,
    BagCode,
    Slip,
    WrongCode,
    as_printed,
    check_digits,
    passes,
    read_code,
)
from haywright.measure.errors import Refused

codes = st.builds(
    BagCode,
    st.text(alphabet=OFFICE_LETTERS, min_size=3, max_size=3),
    st.integers(min_value=1, max_value=999_999),
)
LETTERS_AND_DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


def read_or_none(text):
    try:
        return read_code(text)
    except Refused:
        return None


@pytest.mark.parametrize(
    ("text", "digits"),
    [
        ("794", "44"),  # ISO/IEC 7064, example of MOD 97-10 (recalled): 794 -> 79444
        (
            "WEST12345698765432GB",
            "82",
        ),  # the IBAN of ISO 13616's example: GB82 WEST 1234 5698 7654 32
        ("370400440532013000DE", "89"),  # IBAN registry's example: DE89 3704 0044 0532 0130 00
        ("5493001KJTIIGC8Y1R", "12"),  # a legal entity identifier (ISO 17442): 5493001KJTIIGC8Y1R12
    ],
)
def test_check_digits_agree_with_published_numbers(text, digits):
    assert check_digits(text) == digits
    assert passes(text + digits)


@given(codes)
def test_a_code_is_read_back_as_printed(code):
    assert read_code(str(code)) == code
    assert passes(str(code).replace("-", ""))


@given(codes, st.data())
def test_a_text_is_as_printed_only_when_reading_it_changes_nothing(code, data):
    text = str(code)
    assert as_printed(text)
    place = data.draw(st.integers(0, len(text)))
    other = data.draw(st.sampled_from(("", " ", *LETTERS_AND_DIGITS)))
    changed = text[:place] + other + text[place + data.draw(st.integers(0, 1)) :]
    assert as_printed(changed) == (str(read_or_none(changed)) == changed)


@given(codes, st.data())
def test_every_single_wrong_character_is_caught(code, data):
    bare = str(code).replace("-", "")
    place = data.draw(st.integers(0, len(bare) - 1))
    other = data.draw(st.sampled_from(LETTERS_AND_DIGITS.replace(bare[place], "")))
    assert read_or_none(bare[:place] + other + bare[place + 1 :]) in (None, code)


@given(codes, st.data())
def test_every_swap_of_neighbours_is_caught(code, data):
    bare = str(code).replace("-", "")
    i = data.draw(st.integers(0, len(bare) - 2))
    swapped = bare[:i] + bare[i + 1] + bare[i] + bare[i + 2 :]
    assert read_or_none(swapped) in ((code,) if swapped == bare else (None, code))


@given(codes, st.data())
def test_a_swap_of_neighbours_is_named_with_the_right_code(code, data):
    bare = str(code).replace("-", "")
    i = data.draw(st.integers(3, len(bare) - 2))
    swapped = bare[:i] + bare[i + 1] + bare[i] + bare[i + 2 :]
    if swapped == bare or read_or_none(swapped) == code:
        return
    with pytest.raises(WrongCode) as error:
        read_code(swapped, in_use=[str(code)])
    guesses = {g.code: g.slip for g in error.value.guesses}
    assert guesses[code] in (Slip.SWAPPED, Slip.ONE_CHARACTER)
    assert error.value.guesses[0].code == code


@pytest.mark.parametrize(
    "written",
    ["vly 0042 05", "VLY004205", "vly-0042-05", " VLY.0042/05 ", "VLY-OO42-O5", "vly42o5"],
)
def test_a_code_is_read_through_wet_ink(written):
    assert read_code(written) == BagCode("VLY", 42)


@pytest.mark.parametrize("office", ["VL", "VLYY", "VIY", "VOY", "QLY", "vly", "V1Y", ""])
def test_an_office_has_three_letters_that_look_like_no_digit(office):
    with pytest.raises(Refused):
        BagCode(office, 1)


@pytest.mark.parametrize("number", [0, -4, 10**8])
def test_bags_are_counted_from_one(number):
    with pytest.raises(Refused):
        BagCode("VLY", number)


@given(st.text(max_size=60))
def test_whatever_is_typed_is_read_or_refused_in_words(text):
    try:
        code = read_code(text)
    except Refused as error:
        assert error.message.key.startswith("bag.code.")
    else:
        assert read_code(str(code)) == code
