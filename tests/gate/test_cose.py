"""Keys and COSE_Sign1: published vectors, and that nothing altered ever verifies.

Ed25519: RFC 8032 section 7.1. Thumbprint: RFC 8037 appendix A.3 (recalled). CBOR: RFC 8949
appendix A (recalled). The COSE message is eddsa-sig-01 of the COSE working group's Examples;
what must fail follows the idea of their sign1-tests.
"""

from __future__ import annotations

import cbor2
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from haywright.gate.seal import cose, jws, keys
from haywright.measure.errors import Refused

SECRET = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
PUBLIC = keys.public_half(SECRET)
PUBLISHED = bytes.fromhex(
    "D28445A201270300A10442313154546869732069732074686520636F6E74656E742E58407142FD2FF96D56DB85BE"
    "E905A76BA1D0B7321A95C8C4D3607C5781932B7AFB8711497DFA751BF40B58B3BCC32300B1487F3DB34085EEF013"
    "BF08F4A44D6FEF0D"
)
secrets = st.binary(min_size=32, max_size=32)


def test_third_vector_of_rfc_8032():
    # RFC 8032, section 7.1, TEST 3.
    secret = bytes.fromhex("c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7")
    assert keys.public_half(secret).hex() == (
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025"
    )
    assert keys.sign(bytes.fromhex("af82"), secret).hex() == (
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
        "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"
    )


def test_thumbprint_of_rfc_8037():
    # RFC 8037, appendix A.3, for the key of A.1, which is that of RFC 8032 TEST 1.
    public = bytes.fromhex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a")
    assert keys.base64url(keys.thumbprint(public)) == "kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k"


@pytest.mark.parametrize(
    ("value", "encoded"),
    [(0, "00"), (23, "17"), (24, "1818"), (1000, "1903e8"), (-1, "20"), (-1000, "3903e7"),
     ("a", "6161"), ("IETF", "6449455446"), (b"\x01\x02\x03\x04", "4401020304"),
     ([1, 2, 3], "83010203"), ({1: 2, 3: 4}, "a201020304"), (False, "f4"), (None, "f6")],
)  # fmt: skip
def test_examples_of_rfc_8949(value, encoded):
    assert cose.encode(value).hex() == encoded
    assert cose.encode(cose.decode(bytes.fromhex(encoded))).hex() == encoded


@pytest.mark.parametrize(
    "text",
    ["1800", "190017", "0000", "", "5f42010243030405ff", "9fff", "a201020102", "a203040102", "18",
     "1b", "fb3ff199999999999a00", "ff"],
)  # fmt: skip
def test_bytes_that_are_no_deterministic_encoding_are_refused(text):
    # RFC 8949 section 4.2: shortest numbers, definite lengths, sorted keys, nothing after the end.
    with pytest.raises(Refused):
        cose.decode(bytes.fromhex(text))


@given(st.binary(max_size=300))
def test_no_bytes_break_the_reading(data):
    try:
        value = cose.decode(data)
    except Refused:
        pass
    else:
        assert cose.encode(value) == data
    with pytest.raises(Refused):
        cose.read1(data)


def test_an_older_algorithm_number_is_read_and_the_new_one_written():
    # RFC 9864 gives Ed25519 the number -19; EdDSA was -8.
    assert cose.read1(PUBLISHED).verifies(PUBLIC)
    written = cose.read1(cose.sign1(b"hay", SECRET))
    assert cose.decode(written.protected) == {1: -19}


@given(secret=secrets, payload=st.binary(max_size=200))
def test_what_is_signed_verifies_with_its_key_and_with_no_other(secret, payload):
    message = cose.read1(cose.sign1(payload, secret))
    assert message.payload == payload
    assert message.verifies(keys.public_half(secret))
    assume(secret != SECRET)
    assert not message.verifies(PUBLIC)


@given(where=st.integers(0, len(PUBLISHED) - 1), change=st.integers(1, 255))
def test_no_altered_byte_of_the_published_message_verifies_unseen(where, change):
    altered = bytearray(PUBLISHED)
    altered[where] ^= change
    try:
        message = cose.read1(bytes(altered))
    except Refused:
        return
    # The header outside the signature can be changed; nothing we rely on may stand there.
    whole = cose.read1(PUBLISHED)
    assert not message.verifies(PUBLIC) or message.unsigned != whole.unsigned


def rebuilt(*, tag=cose.TAG, protected=cose.PROTECTED, unprotected=None, signature=None, more=()):
    payload = b"hay"
    signed = signature or keys.sign(cose.to_be_signed(protected, payload), SECRET)
    parts = [protected, unprotected or {}, payload, signed, *more]
    return cose.encode(parts if tag is None else cbor2.CBORTag(tag, parts))


@pytest.mark.parametrize(
    "data",
    [
        rebuilt(tag=998),
        rebuilt(tag=None),
        rebuilt(protected=cose.encode({1: -7})),
        rebuilt(protected=cose.encode({1: -19, 2: [100], 100: 1})),
        rebuilt(protected=b""),
        rebuilt(protected=cose.encode({}), unprotected={1: -19}),
        rebuilt(protected=cose.encode([1, -19])),
        rebuilt(unprotected={1: -7}),
        rebuilt(signature=b"short"),
        rebuilt(more=[1]),
    ],
    ids=["other tag", "no tag", "other algorithm", "critical header", "no header",
         "algorithm unsigned", "header no map", "two algorithms", "short signature", "five parts"],
)  # fmt: skip
def test_messages_of_another_kind_are_refused(data):
    with pytest.raises(Refused):
        cose.read1(data)
    assert cose.read1(rebuilt()).verifies(PUBLIC)


@given(header=st.binary(min_size=1, max_size=60), payload=st.binary(max_size=200))
def test_the_length_of_a_compact_jws_is_foretold_and_longer_than_cose(header, payload):
    text = jws.compact(header, payload, SECRET)
    assert len(text) == jws.compact_length(len(header), len(payload))
    assert 4 * len(cose.sign1(payload, SECRET)) < 4 * len(text) + 20


@given(st.binary(min_size=32, max_size=32), st.data())
def test_a_key_on_paper_comes_back_and_a_slip_is_noticed(key, data):
    text = keys.key_text(key)
    assert len(text.split()) == 14
    assert keys.key_from_text(text.lower().replace(" ", "-")) == key
    where = data.draw(st.sampled_from([n for n, one in enumerate(text) if one != " "]))
    other = data.draw(st.sampled_from("ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"))
    assume(other != text[where])
    with pytest.raises(Refused) as caught:
        keys.key_from_text(text[:where] + other + text[where + 1 :])
    assert text[:9] not in str(caught.value)  # a secret is not repeated in an error


def test_a_key_of_another_length_is_refused():
    with pytest.raises(Refused):
        keys.sign(b"hay", b"short")
    assert not keys.verifies(b"x" * 64, b"hay", b"short")
