"""The sealed sale paper: small enough, whole or refused, and never more than it proves.

The printed code is read back by a general-purpose reader (zxing-cpp); its capacity is that of
ISO/IEC 18004. Hay and names are invented.
"""

from __future__ import annotations

import json
import re
import stat
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
import segno
import zxingcpp
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from PIL import Image
from typer.testing import CliRunner

from haywright.cli.gate import app
from haywright.files import keyring
from haywright.files.office import demo_folder
from haywright.gate.seal import base45, cose
from haywright.gate.seal.keys import key_text, public_half
from haywright.gate.seal.paper import (
    PREFIX,
    Seal,
    Standing,
    check,
    for_paper,
    from_paper,
    most_characters,
    read_withdrawals,
    seal_lot,
    seal_withdrawals,
)
from haywright.gate.seal.record import QUANTITIES, LotRecord, SealedResult, Withdrawals, packed_lot
from haywright.measure.errors import Refused
from haywright.way.sealed import guides_on_paper, nitrate_forms, nitrate_missing

SECRET, OTHER = bytes(range(32)), bytes(range(1, 33))
HELD = {public_half(SECRET): "Larkspur hay office"}
DAY = date(2026, 11, 3)


def results(*rows):
    return tuple(SealedResult(name, *map(Decimal, numbers)) for name, *numbers in rows)


RECORD = LotRecord(
    serial="LHO-0007", issued=DAY, lot="bench-oats", name="Bench oats", crop="oats",
    cored_on=date(2026, 9, 8), bales=64, bale_weight=508, bales_cored=20,
    laboratory="Larkspur forage bench", sampler="the county educator", nitrate_suspect=True,
    expires=date(2027, 6, 30),
    results=results(("dm", "88.3", "87.4", "89.2"), ("cp", "10.0", "8.6", "11.4"),
                    ("adf", "38.1"), ("nitrate_n", "1065", "805", "1466")),
)  # fmt: skip
SEALED = seal_lot(RECORD, "Larkspur hay office", SECRET)


def test_the_paper_comes_back_as_it_was_sealed():
    found = check(SEALED, held=HELD, today=DAY)
    assert found.seal is Seal.KEY_HELD
    assert found.record == RECORD
    assert found.held_as == "Larkspur hay office"
    assert found.standing is Standing.UNKNOWN
    assert found.expired is False


@st.composite
def records(draw):
    names = st.text("ABCdef ghiéü-0123", min_size=1, max_size=20).filter(str.strip)
    chosen = draw(st.lists(st.sampled_from(QUANTITIES), unique=True, min_size=1, max_size=12))
    rows = []
    for name, digits in sorted(chosen, key=QUANTITIES.index):
        value, down, up = (draw(st.integers(0, 9999)) for _ in range(3))
        numbers = [Decimal(one).scaleb(-digits) for one in (value, value - down, value + up)]
        beyond = draw(st.sampled_from(["", "range", "<", ">"]))
        if beyond == "range":
            rows.append(SealedResult(name, *numbers))
        else:
            rows.append(SealedResult(name, numbers[0], beyond=beyond))
    days = st.dates(date(2020, 1, 1), date(2060, 1, 1))
    return LotRecord(
        serial=draw(names), issued=draw(days), lot=draw(names), name=draw(names), crop="oats",
        cored_on=draw(days), results=tuple(rows), bales=draw(st.none() | st.integers(1, 5000)),
        bales_cored=draw(st.none() | st.integers(1, 50)), taken=draw(st.sampled_from(
            ["probe", "grab", "cut"])), expires=draw(st.none() | days),
        nitrate_suspect=draw(st.booleans()), supersedes=draw(st.just("") | names),
    )  # fmt: skip


@given(records())
def test_every_paper_comes_back_as_it_was_sealed(record):
    text = seal_lot(record, "Larkspur hay office", SECRET)
    assert len(text) <= most_characters() == 528
    assert check(text, held=HELD).record == record


DATA = base45.decode(SEALED.removeprefix(PREFIX))


@settings(max_examples=400)
@given(where=st.integers(0, len(DATA) - 1), change=st.integers(1, 255))
def test_no_altered_byte_is_ever_taken_for_whole(where, change):
    altered = bytearray(DATA)
    altered[where] ^= change
    assert check(PREFIX + base45.encode(bytes(altered)), held=HELD).seal is Seal.ALTERED


@given(where=st.integers(0, len(SEALED) - 1), letter=st.sampled_from(base45.ALPHABET))
def test_no_altered_letter_is_ever_taken_for_whole(where, letter):
    assume(SEALED[where] != letter)
    altered = SEALED[:where] + letter + SEALED[where + 1 :]
    assert check(altered, held=HELD).seal is Seal.ALTERED


@given(st.text(max_size=200) | st.binary(max_size=200).map(base45.encode))
def test_no_text_breaks_the_check(text):
    for one in (text, PREFIX + text):
        assert check(one, held=HELD).seal is Seal.ALTERED


def test_a_header_that_no_signature_covers_is_not_taken():
    message = cose.read1(DATA)
    loose = cose.encode(
        cose.cbor2.CBORTag(
            cose.TAG, [message.protected, {4: b"11"}, message.payload, message.signature]
        )
    )
    assert check(PREFIX + base45.encode(loose), held=HELD).seal is Seal.ALTERED


def test_a_field_that_nobody_knows_or_that_is_missing_makes_it_unreadable():
    whole = packed_lot(RECORD, "Larkspur hay office", public_half(SECRET))
    changed = [whole | {40: 1}, whole | {6: ["x"]}, whole | {1: ["x", b"short"]}, whole | {0: 9},
               whole | {6: ["a\x1b[31m", "b", "oats", 1, 1]}, whole | {8: [1 << 30, 1, 1]},
               whole | {8: [1, 1]}, whole | {8: [1, 1, -5]}, whole | {8: [1, True, 0]},
               whole | {8: []}, whole | {3: 10**30}, {}, [1],
               *({k: v for k, v in whole.items() if k != gone} for gone in range(9)
                 if gone in whole and gone not in (4, 5))]  # fmt: skip
    for payload in changed:
        text = PREFIX + base45.encode(cose.sign1(cose.encode(payload), SECRET))
        assert check(text, held=HELD).seal is Seal.ALTERED, payload
    again = PREFIX + base45.encode(cose.sign1(cose.encode(whole), SECRET))
    assert check(again, held=HELD).record == RECORD


def test_a_paper_sealed_by_somebody_else_in_the_same_name_is_not_from_the_key_held():
    found = check(seal_lot(RECORD, "Larkspur hay office", OTHER), held=HELD)
    assert found.seal is Seal.KEY_NOT_HELD
    assert found.held_as == ""
    assert found.public == public_half(OTHER)


def test_a_copied_key_in_the_paper_does_not_help_a_forger():
    forged = packed_lot(RECORD, "Larkspur hay office", public_half(SECRET))
    text = PREFIX + base45.encode(cose.sign1(cose.encode(forged), OTHER))
    assert check(text, held=HELD).seal is Seal.ALTERED


def test_withdrawal_is_known_by_the_issuers_own_list_and_by_no_other():
    def listed(secret, *serials):
        return read_withdrawals(
            seal_withdrawals(Withdrawals(date(2027, 1, 5), serials), "Larkspur", secret)
        )

    withdrawn = check(SEALED, held=HELD, lists=[listed(SECRET, RECORD.serial)])
    assert withdrawn.standing is Standing.WITHDRAWN
    assert withdrawn.known_on == date(2027, 1, 5)
    stands = check(SEALED, held=HELD, lists=[listed(SECRET, "LHO-0001")])
    assert stands.standing is Standing.STANDS
    strangers = check(SEALED, held=HELD, lists=[listed(OTHER, RECORD.serial)])
    assert strangers.standing is Standing.UNKNOWN
    renewed = HELD | {public_half(OTHER): "Larkspur hay office"}
    after = check(SEALED, held=renewed, lists=[listed(OTHER, RECORD.serial)])
    assert after.standing is Standing.WITHDRAWN


def test_a_list_is_no_paper_and_a_paper_no_list():
    with pytest.raises(Refused):
        read_withdrawals(SEALED)
    text = seal_withdrawals(Withdrawals(DAY, ("A",)), "Larkspur", SECRET)
    assert check(text, held=HELD).seal is Seal.ALTERED


def test_a_paper_ends_after_its_last_day():
    assert check(SEALED, held=HELD, today=date(2027, 6, 30)).expired is False
    assert check(SEALED, held=HELD, today=date(2027, 7, 1)).expired is True
    assert check(SEALED, held=HELD).expired is None


@given(records())
def test_what_is_typed_off_the_paper_is_what_was_sealed(record):
    text = seal_lot(record, "Larkspur hay office", SECRET)
    assert from_paper("\r\n".join(for_paper(text)).lower()) == text


def test_a_printed_code_of_the_promised_size_is_read_back_by_another_program():
    code = segno.make(SEALED, error="m", version=14, mode="alphanumeric", boost_error=False)
    modules = [[0 if dark else 255 for dark in row] for row in code.matrix_iter(border=4)]
    side = len(modules)
    assert side == 73 + 8  # ISO/IEC 18004, version 14
    picture = Image.new("L", (side, side))
    picture.putdata([one for row in modules for one in row])
    seen = zxingcpp.read_barcode(picture.resize((side * 6, side * 6), Image.Resampling.NEAREST))
    assert check(seen.text, held=HELD).seal is Seal.KEY_HELD


def test_too_long_a_paper_says_by_how_much():
    long = replace(RECORD, name="x" * 60, sampler="y" * 60, laboratory="z" * 60,
                   supersedes="w" * 60, serial="v" * 60, lot="u" * 60)  # fmt: skip
    with pytest.raises(Refused) as caught:
        seal_lot(long, "Larkspur hay office", SECRET)
    assert caught.value.message.args["over"] > 0


@pytest.mark.parametrize("name", ["", " ", "two\nlines", "x" * 61, "\x1b[31mred"])
def test_a_name_that_cannot_stand_on_a_paper_is_refused(name):
    with pytest.raises(Refused):
        seal_lot(replace(RECORD, name=name), "Larkspur hay office", SECRET)


# --- what the paper means


def test_nitrate_is_shown_in_every_form_by_atomic_masses():
    # 1,000 mg/kg NO3-N is 4,427 NO3 and 7,218 KNO3 (IUPAC 2021: N 14.007, O 15.999, K 39.0983).
    record = replace(RECORD, results=results(("nitrate_n", "1000", "800", "1200")))
    forms = {one.form.value: one for one in nitrate_forms(record)}
    assert forms["NO3"].ppm == pytest.approx(1000 * 62.004 / 14.007)
    assert forms["KNO3"].ppm == pytest.approx(1000 * 101.1023 / 14.007)
    assert forms["KNO3"].percent == pytest.approx(0.1 * 101.1023 / 14.007)
    assert forms["NO3"].ppm_high == pytest.approx(1200 * 62.004 / 14.007)


def test_guides_are_read_at_the_upper_end_of_what_is_likely():
    record = replace(RECORD, results=results(("nitrate_n", "900", "700", "1400")))
    clemson = next(one for one in guides_on_paper(record) if one.guide.id == "clemson")
    assert clemson.value == pytest.approx(1400)
    assert {row.animal_class for row in clemson.rows} == {"pregnant", "non_pregnant"}
    bred = next(one for one in guides_on_paper(record, ("pregnant",)) if one.guide.id == "clemson")
    assert {row.animal_class for row in bred.rows} == {"pregnant"}


def test_hay_that_asks_for_a_nitrate_test_and_has_none_says_so():
    bare = replace(RECORD, results=results(("cp", "10")), nitrate_suspect=False)
    assert nitrate_missing(bare)  # oats gather nitrate
    assert not nitrate_missing(replace(bare, crop="alfalfa"))
    assert nitrate_missing(replace(bare, crop="alfalfa", nitrate_suspect=True))
    assert nitrate_missing(replace(bare, crop="a crop of tomorrow"))


# --- keys in a folder


def test_the_secret_half_is_for_its_owner_alone(tmp_path):
    ring = keyring.new_key(
        keyring.read_keyring(tmp_path / "keys"), SECRET, issuer="Larkspur", today=DAY
    )
    sheet = keyring.write_recovery_sheet(ring, "words")
    for path in (ring.folder / keyring.SECRET, sheet):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(ring.folder.stat().st_mode) == 0o700
    assert keyring.secret_of(keyring.read_keyring(ring.folder)) == SECRET
    (ring.folder / keyring.SECRET).chmod(0o644)
    with pytest.raises(Refused):
        keyring.secret_of(ring)


def test_a_renewed_key_seals_and_the_old_one_still_checks(tmp_path):
    ring = keyring.new_key(keyring.Keyring(tmp_path), SECRET, issuer="Larkspur", today=DAY)
    ring = keyring.new_key(ring, OTHER, issuer="Larkspur", today=date(2027, 2, 1))
    ring = keyring.read_keyring(tmp_path)
    assert [one.retired_on for one in ring.own] == [date(2027, 2, 1), None]
    assert keyring.secret_of(ring) == OTHER
    assert check(SEALED, held=ring.names).seal is Seal.KEY_HELD


def test_a_key_restored_from_its_sheet_is_the_same_key(tmp_path):
    ring = keyring.new_key(keyring.Keyring(tmp_path), SECRET, issuer="Larkspur", today=DAY)
    (tmp_path / keyring.SECRET).unlink()
    with pytest.raises(Refused):
        keyring.secret_of(ring)
    back = keyring.new_key(ring, SECRET, issuer="Larkspur", today=date(2027, 2, 1))
    assert back.own == ring.own


def test_another_key_does_not_slip_in_under_a_name_that_is_held(tmp_path):
    ring = keyring.hold(keyring.Keyring(tmp_path), "Larkspur", public_half(SECRET), today=DAY)
    with pytest.raises(Refused):
        keyring.hold(ring, "Larkspur", public_half(OTHER), today=DAY)
    ring = keyring.forget(ring, "Larkspur")
    assert keyring.hold(ring, "Larkspur", public_half(OTHER), today=DAY).held[0].name == "Larkspur"
    with pytest.raises(Refused):
        keyring.forget(ring, "Larkspur")


@pytest.mark.parametrize("text", ["", "{", "[]", '{"issuer": 1}', '{"issuer":"", "own":[{}]}'])
def test_a_broken_ring_is_refused_and_left_alone(tmp_path, text):
    path = tmp_path / keyring.RING
    path.write_text(text, encoding="utf-8")
    with pytest.raises(Refused):
        keyring.read_keyring(tmp_path)
    assert path.read_text(encoding="utf-8") == text


# --- at the command line


def run(*words, given=None):
    return CliRunner().invoke(app, list(words), input=given)


def plain(text):
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


@pytest.fixture(scope="module")
def sealed(tmp_path_factory):
    """The demo's oats sealed with a new key: folder of keys, file, JSON answer."""
    home = tmp_path_factory.mktemp("sale")
    assert run("keys", str(home / "keys"), "--issuer", "Larkspur hay office").exit_code == 0
    made = run("seal", str(demo_folder()), "creek-oats", "--keys", str(home / "keys"),
               "--until", "2100-01-01", "--to", str(home), "--json")  # fmt: skip
    assert made.exit_code == 0, made.stderr
    return home, json.loads(made.output)["papers"][0]


def test_a_buyer_checks_a_paper_and_then_holds_the_key(sealed, tmp_path):
    home, paper = sealed
    text = plain(run("check", paper["file"]).output)
    assert text.startswith("Unaltered, but you do not hold the key.")
    public = json.loads(run("keys", str(home / "keys"), "--json").output)["own"][0]
    assert public["fingerprint"] in text
    assert public["key"] in text
    mine = str(tmp_path / "mine")
    held = run("keys", mine, "--hold", f"Larkspur=office={public['key']}")
    assert public["fingerprint"] in plain(held.output)
    text = plain(run("check", paper["text"], "--keys", mine).output)
    assert text.startswith("Unaltered, from Larkspur=office, whose key you hold.")
    assert "The paper calls them “Larkspur hay office”" in text
    assert "This is no verdict" in text
    assert "not that the sample was honest" in text


def test_animals_narrow_the_guides_and_give_no_verdict(sealed):
    found = json.loads(run("check", sealed[1]["file"], "--animals", "bred cows", "--json").output)
    classes = {row["for"] for one in found["guides"] for row in one["rows"]}
    assert classes <= {"pregnant", "all"}
    assert "verdict" not in json.dumps(found)


def test_a_typed_paper_is_read_from_the_keyboard(sealed):
    typed = "\n".join(for_paper(sealed[1]["text"])).lower()
    assert "Unaltered" in run("check", "-", given=typed).output
    slipped = typed.replace(typed[60], "q" if typed[60] != "q" else "z", 1)
    altered = run("check", "-", given=slipped)
    assert altered.exit_code == 2
    assert altered.output.startswith("Altered or unreadable.")
    assert json.loads(run("check", "-", "--json", given=slipped).output) == {
        "seal": "altered or unreadable"
    }


def test_every_demo_hay_fits_one_code(tmp_path):
    keys_ = str(tmp_path / "keys")
    run("keys", keys_, "--issuer", "Larkspur hay office")
    for lot in sorted(path.stem for path in (demo_folder() / "lots").glob("*.toml")):
        made = run("seal", str(demo_folder()), lot, "--keys", keys_, "--to", str(tmp_path),
                   "--until", "2100-01-01", "--json")  # fmt: skip
        assert made.exit_code == 0, made.stderr
        for one in json.loads(made.output)["papers"]:
            assert one["characters"] <= 528


def test_a_withdrawn_paper_is_called_so(sealed, tmp_path):
    home, paper = sealed
    assert "1 withdrawn paper" in plain(run("withdraw", str(home / "keys"), paper["serial"]).output)
    text = plain(
        run("check", paper["file"], "--withdrawn", str(home / "keys" / "withdrawn.txt")).output
    )
    assert "WITHDRAWN by its issuer" in text


def test_the_recovery_sheet_brings_the_key_back(tmp_path):
    folder = tmp_path / "keys"
    made = json.loads(run("keys", str(folder), "--issuer", "Larkspur", "--json").output)
    sheet = (folder / keyring.RECOVERY).read_text(encoding="utf-8")
    typed = tmp_path / "typed.txt"
    typed.write_text(sheet.split("Secret half:")[1].split("\n")[0].lower(), encoding="utf-8")
    fresh = json.loads(
        run("keys", str(tmp_path / "new"), "--restore", str(typed), "--issuer", "Larkspur",
            "--json").output
    )  # fmt: skip
    assert fresh["own"][0]["fingerprint"] == made["own"][0]["fingerprint"]


@pytest.mark.parametrize(
    "words",
    [
        ("keys", "K", "--hold", "no sign"),
        ("keys", "K", "--hold", "Somebody=ABCD"),
        ("keys", "K", "--hold", f"={key_text(OTHER)}"),
        ("keys", "K", "--forget", "nobody"),
        ("keys", "K", "--renew"),
        ("keys", "K", "--issuer", "two\nlines"),
        ("keys", "K", "--restore", "nowhere.txt"),
        ("seal", "OFFICE", "creek-oats", "--keys", "K"),
        ("check", "nowhere.txt"),
        ("check", "nowhere.txt", "--withdrawn", "nowhere.txt"),
        ("withdraw", "K", "A"),
    ],
)
def test_what_cannot_be_is_refused_in_words(words, tmp_path):
    named = {"K": str(tmp_path / "keys"), "OFFICE": str(demo_folder())}
    found = run(*(named.get(one, one) for one in words))
    assert found.exit_code == 2
    assert found.stderr.strip()
    assert "Traceback" not in found.output + found.stderr
    assert "{" not in found.stderr


@pytest.mark.parametrize("more", [("--until", "soon"), ("--result", "gold"), ("--serial", "\x1b")])
def test_a_paper_that_cannot_be_sealed_is_refused_in_words(more, sealed):
    found = run("seal", str(demo_folder()), "creek-oats", "--keys", str(sealed[0] / "keys"),
                "--to", str(sealed[0]), *more)  # fmt: skip
    assert found.exit_code == 2
    assert "{" not in found.stderr
    assert "Traceback" not in found.output + found.stderr
