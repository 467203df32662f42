"""Who comes in, how, and after how many tries nobody does any more.

The number of a phone is computed afresh here from RFC 6238 (time-based one-time passwords: HMAC
over the count of half minutes, dynamic truncation as in RFC 4226), so the office's own reckoning is
held against the standard. Printed squares are read back by a general-purpose reader (zxing-cpp).
"""

from __future__ import annotations

import base64
import hmac
import io
import re
import struct
import time

import pytest
from django.core import mail
from django.core.cache import cache
from django.urls import reverse

PASSWORD = "four cold mornings in a row"  # noqa: S105 - of nobody


@pytest.fixture(autouse=True)
def fresh_counts():
    cache.clear()


def phone_number(secret: str, at: float | None = None) -> str:
    """RFC 6238 with its usual half minute and RFC 4226's six figures."""
    key = base64.b32decode(secret + "=" * (-len(secret) % 8))
    count = int((time.time() if at is None else at) // 30)
    mac = hmac.digest(key, struct.pack(">Q", count), "sha1")
    start = mac[-1] & 15
    return f"{(struct.unpack('>I', mac[start : start + 4])[0] & 0x7FFFFFFF) % 10**6:06d}"


def test_the_phone_number_here_is_that_of_the_standard():
    # RFC 6238 appendix B, SHA-1, eight figures of which these are the last six
    secret = base64.b32encode(b"12345678901234567890").decode()
    assert phone_number(secret, 59) == "287082"
    assert phone_number(secret, 1111111109) == "081804"


def with_password(person):
    person.set_password(PASSWORD)
    person.save()
    return person


def type_password(client, person, password=PASSWORD):
    return client.post(reverse("account_login"), {"login": person.email, "password": password})


def ask(client, person):
    """The letter: its link's secret and its code."""
    answer = client.post(reverse("sign-in"), {"email": person.email})
    assert answer["Location"] == reverse("sign-in-code")
    text = mail.outbox[-1].body
    return re.search(r"/in/([^/]+)/", text)[1], re.search(r"\b(\w{4} \w{4})$", text, re.MULTILINE)[
        1
    ]


def signed_in(client):
    return "_auth_user_id" in client.session


def test_a_rancher_types_the_code_of_the_letter_once(cast, client):
    person = cast.people["rancher"]
    _, code = ask(client, person)
    form = {"email": person.email, "sign_in_code": code.lower()}
    assert client.post(reverse("sign-in-code"), form)["Location"] == reverse("today")
    assert signed_in(client)
    client.post(reverse("sign-out"))
    assert client.post(reverse("sign-in-code"), form).status_code == 422
    assert not signed_in(client)


def test_the_code_spends_the_link_of_the_same_letter(cast, client):
    person = cast.people["rancher"]
    secret, code = ask(client, person)
    client.post(reverse("sign-in-code"), {"email": person.email, "sign_in_code": code})
    client.post(reverse("sign-out"))
    assert client.post(reverse("way-in", args=[secret])).status_code == 410


def test_a_code_opens_nothing_for_another_address(cast, client):
    _, code = ask(client, cast.people["rancher"])
    form = {"email": cast.people["neighbour"].email, "sign_in_code": code}
    assert client.post(reverse("sign-in-code"), form).status_code == 422


def test_a_code_runs_out_after_twenty_minutes(cast, client):
    from datetime import timedelta

    from haywright.office.people.models import SignInLink

    person = cast.people["rancher"]
    _, code = ask(client, person)
    link = SignInLink.objects.get(person=person)
    assert link.ends_at - link.made_at < timedelta(minutes=20, seconds=5)
    link.made_at -= timedelta(minutes=30)
    link.ends_at -= timedelta(minutes=21)
    link.save()
    form = {"email": person.email, "sign_in_code": code}
    assert client.post(reverse("sign-in-code"), form).status_code == 422


def test_opening_a_link_spends_nothing_and_touching_it_signs_in(cast, client):
    secret, _ = ask(client, cast.people["rancher"])
    address = reverse("way-in", args=[secret])
    assert client.get(address).status_code == 200
    assert not signed_in(client)
    assert client.post(address)["Location"] == reverse("today")
    assert signed_in(client)


def test_an_unknown_address_is_answered_like_a_known_one(cast, client):
    known = client.post(reverse("sign-in"), {"email": cast.people["rancher"].email})
    unknown = client.post(reverse("sign-in"), {"email": "nobody-at-all@example.org"})
    assert (known.status_code, known["Location"]) == (unknown.status_code, unknown["Location"])
    assert len(mail.outbox) == 1


def test_signing_in_leads_back_to_the_page_that_asked_but_never_elsewhere(cast, client, lot):
    person, page = cast.people["rancher"], reverse("lot", args=[lot.pk])
    client.get(reverse("sign-in"), {"next": page})
    secret, _ = ask(client, person)
    assert client.post(reverse("way-in", args=[secret]))["Location"] == page
    client.post(reverse("sign-out"))
    client.get(reverse("sign-in"), {"next": "https://example.net/"})
    secret, _ = ask(client, person)
    assert client.post(reverse("way-in", args=[secret]))["Location"] == reverse("today")


@pytest.mark.parametrize("by", ["code", "link", "invitation"])
def test_guessing_stops_after_ten_tries_from_one_address(cast, client, by):
    from haywright.office.people.models import SignInLink
    from haywright.office.people.throttle import TRIES

    person = cast.people["rancher"]
    secret, code = ask(client, person)

    def guess(n):
        if by == "code":
            form = {"email": f"{n}@example.org", "sign_in_code": "ABCD2345"}
            return client.post(reverse("sign-in-code"), form)
        return client.post(reverse("way-in" if by == "link" else "join", args=[f"guess-{n}"]))

    for n in range(TRIES):
        guess(n)
    if by == "code":
        client.post(reverse("sign-in-code"), {"email": person.email, "sign_in_code": code})
    elif by == "link":
        client.post(reverse("way-in", args=[secret]))
    else:
        made = invited(cast)
        assert client.post(reverse("join", args=[made])).status_code == 429
    assert not signed_in(client)
    assert SignInLink.objects.get(person=person).used_at is None


def test_guessing_one_person_s_code_stops_wherever_it_comes_from(cast, client):
    from haywright.office.people.throttle import PERSON_TRIES

    person = cast.people["rancher"]
    _, code = ask(client, person)
    form = {"email": person.email, "sign_in_code": "ABCD2345"}
    for n in range(PERSON_TRIES):
        client.post(reverse("sign-in-code"), form, REMOTE_ADDR=f"192.0.2.{n + 1}")
    answer = client.post(
        reverse("sign-in-code"), {**form, "sign_in_code": code}, REMOTE_ADDR="192.0.2.77"
    )
    assert answer.status_code == 422
    assert not signed_in(client)


def test_letters_to_one_person_stop(cast, client):
    from haywright.office.people.throttle import PERSON_TRIES

    for n in range(PERSON_TRIES + 3):
        client.post(
            reverse("sign-in"),
            {"email": cast.people["rancher"].email},
            REMOTE_ADDR=f"192.0.2.{n + 1}",
        )
    assert len(mail.outbox) == PERSON_TRIES


def test_a_password_is_not_guessed_for_long(cast, client):
    person = with_password(cast.people["rancher"])
    for _ in range(5):
        type_password(client, person, "not this one at all")
    answer = type_password(client, person)
    assert not signed_in(client)
    assert "Too many tries" in answer.content.decode()


def test_a_rancher_with_a_password_needs_no_second_factor(cast, client):
    type_password(client, with_password(cast.people["rancher"]))
    assert client.get(reverse("today")).status_code == 200


def set_up(client):
    """Set up the phone as the page asks; gives its key."""
    page = client.get(reverse("mfa_activate_totp"))
    secret = page.context["form"].secret
    answer = client.post(reverse("mfa_activate_totp"), {"code": phone_number(secret)})
    assert answer.status_code == 302, answer.content.decode()
    return secret


@pytest.mark.parametrize("role", ["educator", "technician", "lab_manager", "office_admin"])
def test_whoever_works_for_the_office_sets_up_a_second_factor_first(cast, client, role):
    type_password(client, with_password(cast.people[role]))
    for name in ("today", "lots", "people", "me", "take-my-data"):
        assert client.get(reverse(name))["Location"] == reverse("mfa_activate_totp"), name
    set_up(client)
    assert client.get(reverse("today")).status_code == 200


def test_at_the_desk_nobody_owes_a_second_factor(cast, client, settings):
    settings.DESK = True
    type_password(client, with_password(cast.people["office_admin"]))
    assert client.get(reverse("today")).status_code == 200


@pytest.mark.parametrize("by", ["password", "link", "code"])
def test_the_phone_s_number_is_asked_for_whichever_way_one_comes(cast, client, by, monkeypatch):
    person = with_password(cast.people["educator"])
    type_password(client, person)
    secret = set_up(client)
    client.post(reverse("sign-out"))
    if by == "password":
        answer = type_password(client, person)
    else:
        link, code = ask(client, person)
        answer = (
            client.post(reverse("way-in", args=[link]))
            if by == "link"
            else client.post(reverse("sign-in-code"), {"email": person.email, "sign_in_code": code})
        )
    assert answer["Location"].startswith(reverse("mfa_authenticate"))
    assert not signed_in(client)
    assert client.post(reverse("mfa_authenticate"), {"code": "000000"}).status_code == 200
    assert not signed_in(client)
    cache.clear()  # a number is taken once; the next half minute's is not waited for
    client.post(reverse("mfa_authenticate"), {"code": phone_number(secret)})
    assert signed_in(client)


def test_a_spare_code_stands_in_for_the_phone_once(cast, client):
    person = with_password(cast.people["educator"])
    type_password(client, person)
    set_up(client)
    page = client.get(reverse("mfa_view_recovery_codes"))
    spare = page.context["unused_codes"][0]
    assert spare in client.get(reverse("mfa_download_recovery_codes")).content.decode()
    for expected in (True, False):
        client.post(reverse("sign-out"))
        type_password(client, person)
        client.post(reverse("mfa_authenticate"), {"code": spare})
        assert signed_in(client) is expected


def test_whoever_works_for_the_office_cannot_take_the_second_factor_off(cast, client):
    type_password(client, with_password(cast.people["educator"]))
    set_up(client)
    answer = client.post(reverse("mfa_deactivate_totp"))
    assert answer.status_code == 200
    assert client.get(reverse("mfa_index")).context["authenticators"]["totp"]


def test_the_square_on_the_page_holds_the_key_beside_it(cast, client):
    import xml.etree.ElementTree as ET

    import numpy as np
    import zxingcpp

    type_password(client, with_password(cast.people["educator"]))
    page = client.get(reverse("mfa_activate_totp"))
    svg = ET.fromstring(page.context["totp_svg"])  # noqa: S314 - made by the office
    size = int(float(svg.get("viewBox").split()[2]))
    cells = np.full((size, size), 255, np.uint8)
    runs = next(one.get("d") for one in svg.iter() if (one.get("d") or "").startswith("M"))
    for x, y, length in re.findall(r"M(\d+) (\d+)h(\d+)", runs):
        cells[int(y), int(x) : int(x) + int(length)] = 0
    (found,) = zxingcpp.read_barcodes(np.kron(cells, np.ones((6, 6), np.uint8)))
    assert f"secret={page.context['form'].secret}" in found.text
    assert page.context["form"].secret in page.content.decode()


def invited(cast, email="", role="rancher", by="office_admin"):
    from haywright.office.people.actions import invite
    from haywright.office.people.models import Role

    ranch = cast.ranch if role == "rancher" else None
    # Whoever works for the office has an address; one who is signed in takes it up as themselves.
    email = email or ("" if role == "rancher" else "somebody@example.org")
    return invite(cast.actor(by), "Somebody", Role(role), ranch=ranch, email=email)


def test_an_invitation_makes_a_member_who_is_signed_in(cast, client):
    made = invited(cast, "new@example.org", "technician")
    assert client.get(reverse("join", args=[made])).status_code == 200
    assert not signed_in(client)
    client.post(reverse("join", args=[made]))
    assert client.get(reverse("bags")).status_code == 200
    client.post(reverse("sign-out"))
    assert client.post(reverse("join", args=[made])).status_code == 410


def test_an_invitation_to_a_known_address_is_no_way_in_as_them(cast, client):
    made = invited(cast, cast.people["office_admin"].email, by="educator")
    assert client.post(reverse("join", args=[made])).status_code == 409
    assert not signed_in(client)
    secret, _ = ask(client, cast.people["office_admin"])
    answer = client.post(reverse("way-in", args=[secret]))
    assert answer["Location"] == reverse("join", args=[made])
    assert client.post(answer["Location"])["Location"] == reverse("today")


def test_nobody_signs_up_unasked(db, client):
    answer = client.post(
        reverse("account_signup"),
        {"email": "new@example.org", "password1": PASSWORD, "password2": PASSWORD},
    )
    assert "invitation" in answer.content.decode()
    from haywright.office.people.models import Person

    assert not Person.objects.exists()


def test_a_forgotten_password_is_chosen_anew_by_letter(cast, client):
    person = with_password(cast.people["rancher"])
    client.post(reverse("account_reset_password"), {"email": person.email})
    address = re.search(r"https?://testserver(\S+)", mail.outbox[-1].body)[1]
    page = client.get(address, follow=True)
    new = "another long winter to feed"
    client.post(page.request["PATH_INFO"], {"password1": new, "password2": new})
    type_password(client, person, new)
    assert signed_in(client)


def test_a_new_letter_address_counts_once_its_letter_is_opened(cast):
    from allauth.account.models import EmailAddress

    person, client = cast.people["rancher"], cast.client("rancher")
    old, new = person.email, "barn@example.org"
    client.post(reverse("account_email"), {"email": new, "action_add": "1"})
    person.refresh_from_db()
    assert person.email == old
    (letter,) = [one for one in mail.outbox if one.to == [new]]
    client.post(re.search(r"https?://testserver(\S+)", letter.body)[1])
    person.refresh_from_db()
    assert person.email == new
    row = EmailAddress.objects.get(user=person)
    assert (row.email, row.primary, row.verified) == (new, True, True)


def test_letter_addresses_stay_in_step_with_the_person(cast):
    from allauth.account.models import EmailAddress

    person = cast.people["rancher"]
    assert EmailAddress.objects.get(user=person).email == person.email
    person.email = "moved@example.org"
    person.save()
    assert EmailAddress.objects.get(user=person).email == "moved@example.org"
    person.email = None
    person.save()
    assert not EmailAddress.objects.filter(user=person).exists()


def printed(cast, by="educator", whom="rancher"):
    from haywright.office.people.models import Membership

    member = Membership.objects.filter(person=cast.people[whom]).first()
    return cast.client(by).post(reverse("member-way-in", args=[member.pk]))


def secret_on(pdf: bytes) -> str:
    """The address is printed beneath the square; a reader of PDF finds it in the text."""
    from tests.paper.reading import text_of

    return re.search(r"/in/([^/]+)/", text_of(pdf).replace(" ", ""))[1]


def test_the_printed_square_reads_back_as_the_address_beneath_it():
    import zxingcpp
    from PIL import Image

    from haywright.paper.typeset import set_pages
    from haywright.paper.way_in_paper import way_in_data
    from haywright.words import Reader

    address = "https://hay.example.org/in/" + "x" * 32 + "/"
    data = way_in_data(
        address, Reader(), person="Rosa", ranch="Juniper Flat", office="Sedge", page="a4"
    )
    (png,) = set_pages("way_in", data)
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(png)))
    assert found.text == address


def test_a_printed_square_signs_its_rancher_in_again_and_again(cast, client):
    from haywright.office.ledger.models import Entry

    answer = printed(cast)
    assert answer["Content-Type"] == "application/pdf"
    secret = secret_on(answer.content)
    for _ in range(2):
        client.post(reverse("way-in", args=[secret]))
        assert client.session["_auth_user_id"] == str(cast.people["rancher"].pk)
        client.post(reverse("sign-out"))
    entry = Entry.objects.get(deed="person.print_way_in")
    assert entry.who == cast.people["educator"].pk
    assert secret not in str(entry.after)


def test_printing_again_withdraws_what_was_printed_before(cast, client):
    first = secret_on(printed(cast).content)
    second = secret_on(printed(cast).content)
    assert client.post(reverse("way-in", args=[first])).status_code == 410
    assert client.post(reverse("way-in", args=[second])).status_code == 302


def test_no_square_is_printed_for_more_than_a_rancher_of_this_office(cast, client):
    from haywright.office.people.models import Membership

    assert printed(cast, whom="office_admin").status_code == 404
    secret = secret_on(printed(cast).content)
    made = invited(cast, role="lab_manager")
    cast.client("rancher").post(reverse("join", args=[made]))
    assert client.post(reverse("way-in", args=[secret])).status_code == 410
    member = Membership.objects.get(person=cast.people["rancher"], role="rancher")
    answer = cast.client("educator").post(reverse("member-way-in", args=[member.pk]))
    assert answer.status_code == 422


def test_an_invitation_names_the_office_who_asks_in_which_role_and_for_which_ranch(cast, client):
    page = client.get(reverse("join", args=[invited(cast)])).content.decode()
    for one in ("Sedge County hay office", "Office_Admin", "Juniper Flat", "555 0100", "Somebody"):
        assert one in page, one
    assert "rancher</dd>" in page


def over(row):
    from datetime import timedelta

    row.made_at -= timedelta(days=600)
    row.ends_at -= timedelta(days=599)
    row.save()


@pytest.mark.parametrize("ended", ["used", "run out"])
def test_an_invitation_that_is_over_says_so_at_once_and_whom_to_ask(cast, client, ended):
    from django.test import Client

    from haywright.office.people.models import Invitation

    made = invited(cast)
    if ended == "used":
        client.post(reverse("join", args=[made]))
    else:
        over(Invitation.objects.get())
    for method in ("get", "post"):
        answer = getattr(Client(), method)(reverse("join", args=[made]))
        assert answer.status_code == 410
        assert "Sedge County hay office" in answer.content.decode()
        assert "555 0100" in answer.content.decode()
        assert "<button" not in answer.content.decode()


@pytest.mark.parametrize("ended", ["used", "run out", "withdrawn"])
def test_a_way_in_that_is_over_says_so_at_once_and_whom_to_ask(cast, client, ended):
    from django.utils import timezone

    from haywright.office.people.models import SignInLink

    secret, _ = ask(client, cast.people["rancher"])
    link = SignInLink.objects.get()
    if ended == "used":
        client.post(reverse("way-in", args=[secret]))
        client.post(reverse("sign-out"))
    elif ended == "run out":
        over(link)
    else:
        SignInLink.objects.update(withdrawn_at=timezone.now())
    for method in ("get", "post"):
        answer = getattr(client, method)(reverse("way-in", args=[secret]))
        assert answer.status_code == 410
        assert "555 0100" in answer.content.decode()
    assert not signed_in(client)


@pytest.mark.parametrize("door", ["way-in", "join"])
def test_an_address_nobody_gave_out_says_so_at_once(db, client, door):
    for method in ("get", "post"):
        answer = getattr(client, method)(reverse(door, args=["nonsense"]))
        assert answer.status_code == 404
        assert "ask the hay office" in answer.content.decode()
        assert "<button" not in answer.content.decode()


def test_a_rancher_whose_membership_ended_reads_so_with_the_telephone_and_can_go(cast):
    from haywright.office.people.actions import end_membership
    from haywright.office.people.models import Membership

    client = cast.client("rancher")
    member = Membership.objects.get(person=cast.people["rancher"])
    end_membership(cast.actor("office_admin"), member, reason="sold the place")
    for page in ("today", "lots"):
        said = client.get(reverse(page)).content.decode()
        assert "You belonged to Sedge County hay office until" in said
        assert "555 0100" in said
        assert "no office yet" not in said
        assert f'action="{reverse("sign-out")}"' in said


def test_a_password_once_kept_is_not_asked_for_and_one_s_own_page_says_so(cast):
    client = cast.client("rancher")
    typed = {"password1": PASSWORD, "password2": PASSWORD}
    answer = client.post(reverse("account_set_password"), typed, follow=True)
    assert answer.redirect_chain == [(reverse("me"), 302)]
    assert "Kept." in answer.content.decode()
    new = "another long winter to feed"
    typed = {"oldpassword": PASSWORD, "password1": new, "password2": new}
    answer = client.post(reverse("account_change_password"), typed, follow=True)
    assert answer.redirect_chain == [(reverse("me"), 302)]
    assert "Kept." in answer.content.decode()


@pytest.mark.parametrize("role", ["rancher", "educator"])
def test_who_sets_up_the_phone_sees_the_spare_codes_and_types_nothing_twice(
    cast, role, django_capture_on_commit_callbacks
):
    client = cast.client(role)
    typed = {"password1": PASSWORD, "password2": PASSWORD}
    assert client.post(reverse("account_set_password"), typed)["Location"] == reverse("me")
    secret = client.get(reverse("mfa_activate_totp")).context["form"].secret
    with django_capture_on_commit_callbacks(execute=True):
        number = {"code": phone_number(secret)}
        answer = client.post(reverse("mfa_activate_totp"), number)
    assert answer["Location"] == reverse("mfa_view_recovery_codes")
    page = client.get(answer["Location"])
    assert page.status_code == 200
    assert page.context["unused_codes"][0] in page.content.decode()


@pytest.mark.parametrize("role", ["educator", "technician", "lab_manager", "office_admin"])
def test_nobody_who_works_for_the_office_is_invited_without_a_way_back_in(cast, role):
    client = cast.client("office_admin")
    answer = client.post(reverse("people"), {"person": "Somebody", "role": role})
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"email"}
    assert "Needed for whoever works for the office" in answer.content.decode()
    sent = {"person": "Somebody", "role": role, "email": "somebody@example.org"}
    assert client.post(reverse("people"), sent).context["secret"]


def test_a_rancher_is_invited_without_an_address(cast):
    sent = {"person": "Rosa", "role": "rancher", "ranch": str(cast.ranch.pk)}
    assert cast.client("office_admin").post(reverse("people"), sent).context["secret"]


@pytest.mark.parametrize(
    ("language", "label"), [("en", "E-mail address"), ("es", "Correo electrónico")]
)
@pytest.mark.parametrize("door", ["sign-in", "sign-in-code", "account_login"])
def test_an_e_mail_address_is_called_what_people_call_it(db, client, door, language, label):
    page = client.get(reverse(door), headers={"Accept-Language": language}).content.decode()
    assert re.search(rf"<label[^>]*>{label}</label>", page)
