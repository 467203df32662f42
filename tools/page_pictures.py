"""Pictures of the demo office's pages, on a phone and at a desk, taken in Chromium."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image

OPEN = "from haywright.cli.main import main; main()"
PHONE, DESK = (390, 844), (1280, 860)
LOT = "Creek field oats"
COLOURS = 64


def take(folder: Path) -> None:
    """Write the pictures into a folder.

    Parameters
    ----------
    folder
        Where they go.
    """
    with _office() as address, _browser() as browser:
        page = browser.new_page(viewport={"width": DESK[0], "height": DESK[1]})
        page.goto(address)
        page.get_by_role("main").get_by_role("button").click()
        page.wait_for_url("**/")
        _shot(page, folder / "today.png")
        page.goto(f"{_start(address)}/lots/?state=all")
        page.get_by_role("link", name=LOT).click()
        page.get_by_role("heading", name="The stack").wait_for()
        _shot(page, folder / "lot.png")
        page.get_by_role("link", name="See who may eat it").click()
        page.get_by_role("heading", name="Weigh it out").wait_for()
        page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
        _shot(page, folder / "feeding-phone.png")
        page.get_by_role("link", name="Back to the sheet").click()
        page.get_by_role("link", name="Crude protein").first.wait_for()
        _shot(page, folder / "sheet-phone.png")


def _start(address: str) -> str:
    return "/".join(address.split("/")[:3])


def _shot(page: Any, path: Path) -> None:
    page.evaluate("window.scrollTo(0, 0)")
    picture = Image.open(BytesIO(page.screenshot())).convert("RGB")
    picture.quantize(COLOURS).save(path, optimize=True)


@contextmanager
def _office() -> Iterator[str]:
    """The demo's office at a desk of its own; the address that opens it."""
    with tempfile.TemporaryDirectory() as folder:
        words = ("open", "--demo", "--no-browser", "--data", folder)
        running = subprocess.Popen(
            [sys.executable, "-u", "-c", OPEN, *words], stdout=subprocess.PIPE, text=True
        )
        try:
            for line in running.stdout or ():
                if found := re.search(r"http://\S+/in/\S+/", line):
                    yield found.group(0)
                    return
            raise SystemExit("the office did not open")
        finally:
            running.terminate()
            running.wait()


@contextmanager
def _browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    path = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()
