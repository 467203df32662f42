"""Opening the desk and serving an office, as commands: few questions, and settings in words."""

from __future__ import annotations

import json
import re
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlencode, urlsplit

import pytest

from tests.office.desk import COMMAND, SECRET, environment, haywright

DATABASE = "postgresql://haywright@127.0.0.1:1/haywright"  # nothing answers there
DAY_ONE = {"name": "Ridge hay office", "code": "rdg", "units": "si", "language": "en"}


class Browser:
    """Just enough of one: pages, cookies, and the guard in their forms."""

    def __init__(self) -> None:
        self.open = urllib.request.build_opener(
            urllib.request.HTTPCookieProcessor(CookieJar())
        ).open
        self.address, self.page = "", ""

    def get(self, address: str) -> str:
        with self.open(address) as answer:
            self.address, self.page = answer.url, answer.read().decode()
        return self.page

    def send(self, **fields: str) -> str:
        """Send the form of the page that is open."""
        kept = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', self.page))
        body = urlencode({**kept, **fields}).encode()
        with self.open(self.address, body) as answer:
            self.address, self.page = answer.url, answer.read().decode()
        return self.page


def _answering(address: str) -> None:
    """Wait until the office answers: its address is told just before."""
    at = urlsplit(address)
    for _ in range(300):
        with socket.socket() as line:
            if line.connect_ex((at.hostname, at.port)) == 0:
                return
        time.sleep(0.1)


@contextmanager
def opened(data: Path, *words: str) -> Iterator[dict[str, str]]:
    """The desk as the command opens it; what it prints as JSON."""
    running = subprocess.Popen(
        [sys.executable, "-u", "-c", COMMAND, "open", "--no-browser", "--json", "--data",
         str(data), *words],
        env=environment(data), stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        held = ""
        for line in running.stdout or ():
            held += line
            if line.startswith("}"):
                break
        said = json.loads(held)
        _answering(said["address"])
        yield said
    finally:
        running.terminate()
        running.communicate()


@pytest.mark.slow
def test_the_desk_asks_a_few_questions_the_first_time_and_never_again(tmp_path):
    browser = Browser()
    with opened(tmp_path) as said:
        browser.get(said["address"])
        page = browser.send()
        assert browser.address.endswith("/office/begin")
        asked = {name for name in ("name", "code", "units", "language", "guide")
                 if f'name="{name}"' in page}  # fmt: skip
        assert asked == {"name", "code", "units", "language", "guide"}
        page = browser.send(**DAY_ONE)
        assert "Ridge hay office" in page
        assert "Nothing waits for you today." in page
        with pytest.raises(HTTPError) as spent:
            Browser().get(said["address"])  # the address works once
        assert spent.value.code == 410
        spent.value.close()
    with opened(tmp_path) as said:
        browser.get(said["address"])
        browser.send()
        assert not browser.address.endswith("/office/begin")
        assert "Ridge hay office" in browser.page


@pytest.mark.slow
def test_an_answer_that_cannot_stand_is_told_beside_its_field_on_the_first_page(tmp_path):
    browser = Browser()
    with opened(tmp_path) as said:
        browser.get(said["address"])
        browser.send()
        with pytest.raises(HTTPError) as wrong:
            browser.send(**{**DAY_ONE, "code": "R2"})
        page = wrong.value.read().decode()
        assert wrong.value.code == 422
        assert 'id="id_code_error"' in page
        assert 'value="Ridge hay office"' in page


def test_a_port_that_is_taken_is_told_in_words(tmp_path):
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        held.listen()
        port = held.getsockname()[1]
        env = {**environment(tmp_path / "named"), "HOME": str(tmp_path / "home")}
        ran = haywright(env, "open", "--no-browser", "--port", port)
    assert ran.returncode == 2
    assert str(port) in ran.stderr
    assert "Traceback" not in ran.stderr
    # the folder the environment names is the one, and the person's own is left alone
    assert (tmp_path / "named").is_dir()
    assert not (tmp_path / "home").exists()


def served(tmp_path, **changed):
    """An office of many whose settings are whole but for what is changed; ``None`` leaves out."""
    env = {**environment(tmp_path, DATABASE), **changed}
    return haywright({k: v for k, v in env.items() if v is not None}, "office", "serve")


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        ({"HAYWRIGHT_SECRET": None}, ["HAYWRIGHT_SECRET"]),
        ({"HAYWRIGHT_HOSTS": None}, ["HAYWRIGHT_HOSTS"]),
        ({"DATABASE_URL": None}, ["DATABASE_URL"]),
        ({"HAYWRIGHT_SECRET": None, "HAYWRIGHT_HOSTS": None, "DATABASE_URL": None},
         ["HAYWRIGHT_SECRET", "HAYWRIGHT_HOSTS", "DATABASE_URL"]),
        ({"HAYWRIGHT_SECRET": None, "HAYWRIGHT_SECRET_FILE": "/no/such/file"},
         ["HAYWRIGHT_SECRET_FILE", "/no/such/file"]),
        ({"HAYWRIGHT_SECRET": "short"}, ["HAYWRIGHT_SECRET", "5 characters"]),
        ({"HAYWRIGHT_PROXY": None}, ["HTTPS", "HAYWRIGHT_PROXY"]),
        ({"HAYWRIGHT_CERTIFICATE": "office.pem"}, ["HAYWRIGHT_CERTIFICATE_KEY"]),
        ({"HAYWRIGHT_DATA": "/dev/null/office"}, ["HAYWRIGHT_DATA", "/dev/null/office"]),
        ({}, ["DATABASE_URL", "does not answer"]),
    ],
)  # fmt: skip
def test_a_setting_that_is_missing_or_wrong_is_told_in_words_and_nothing_is_served(
    tmp_path, changed, named
):
    ran = served(tmp_path, **changed)
    assert ran.returncode == 2
    assert "Traceback" not in ran.stderr
    for one in named:
        assert one in ran.stderr, ran.stderr


def test_django_s_own_check_of_a_deployment_finds_nothing(tmp_path):
    env = {
        **environment(tmp_path, DATABASE),
        "DJANGO_SETTINGS_MODULE": "haywright.office.settings",
        "HAYWRIGHT_SECRET": SECRET + "0Z",
    }
    env.pop("DJANGO_ALLOW_ASYNC_UNSAFE", None)  # set for browsers beside this test
    words = ["-m", "django", "check", "--deploy", "--fail-level", "DEBUG"]
    ran = subprocess.run(
        [sys.executable, *words], env=env, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stderr
    assert "no issues (0 silenced)" in ran.stdout + ran.stderr
