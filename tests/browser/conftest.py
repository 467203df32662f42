"""A browser on the live server: the distribution's Chromium, every request outside refused."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from typing import Any

import pytest

from tests.office.conftest import *  # noqa: F403 - the same cast

os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the browser's driver runs a loop
SIZES = {"phone": (390, 844), "desk": (1280, 900)}


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=30_000)  # a busy machine is no fault of the page
    path = next((p for n in ("chromium", "chromium-browser", "google-chrome")
                 if (p := shutil.which(n))), None)  # fmt: skip
    assert path, "Chromium is needed: make test installs it"
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="session", autouse=True)
def emptied_between_tests() -> None:
    """Between tests everything goes, even what is written for good: its triggers step aside."""
    from django.db.backends.sqlite3.operations import DatabaseOperations

    flush = DatabaseOperations.execute_sql_flush

    def flushed(self: Any, statements: list[str]) -> None:
        with self.connection.cursor() as cursor:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            held = cursor.fetchall()
            for name, _ in held:
                cursor.execute(f"DROP TRIGGER {name}")
            flush(self, statements)
            for _, again in held:
                cursor.execute(again)

    DatabaseOperations.execute_sql_flush = flushed  # type: ignore[method-assign]


class Visit:
    """One person at one size of screen."""

    def __init__(self, page: Any, base: str) -> None:
        self.page, self.base = page, base
        self.errors: list[str] = []
        self.weights: dict[str, int] = {}
        self.outside: list[str] = []
        page.on("console", lambda m: self.errors.append(m.text) if m.type == "error" else None)
        page.on("pageerror", lambda e: self.errors.append(str(e)))
        page.on("response", self._weigh)
        page.on("request", self._look)

    def _weigh(self, response: Any) -> None:
        # once each: what is shelved for the yard comes from the browser's own cache again
        self.weights[response.url] = int(response.headers.get("content-length") or 0)

    def _look(self, request: Any) -> None:
        if not request.url.startswith((self.base, "data:")):
            self.outside.append(request.url)

    def go(self, address: str) -> Any:
        """Open a page; gives the answer."""
        self.weights, self.errors = {}, []
        return self.page.goto(self.base + address, wait_until="load")

    @property
    def bytes(self) -> int:
        """What the page and all it needs weigh."""
        return sum(self.weights.values())

    def overflows(self) -> bool:
        """Whether something scrolls sideways."""
        return bool(
            self.page.evaluate(
                "document.documentElement.scrollWidth > document.documentElement.clientWidth"
            )
        )


@pytest.fixture
def visit(chromium: Any, live_server: Any, cast: Any) -> Iterator[Any]:
    """Signs somebody in: ``visit("educator", "phone")``."""
    contexts = []

    def made(name: str, size: str, *, scripts: bool = True, dark: bool = False) -> Visit:
        width, height = SIZES[size]
        context = chromium.new_context(
            viewport={"width": width, "height": height},
            java_script_enabled=scripts,
            color_scheme="dark" if dark else "light",
        )
        contexts.append(context)
        if name != "nobody":
            cookie = cast.client(name).cookies["haywright"]
            context.add_cookies(
                [{"name": "haywright", "value": cookie.value, "url": live_server.url}]
            )
        return Visit(context.new_page(), live_server.url)

    yield made
    for one in contexts:
        one.close()
