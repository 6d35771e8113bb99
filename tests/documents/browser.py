"""A real Chromium for the tests of pages: found on the machine, started once, without network or profile of its own.

Where there is none the tests are skipped, unless PEELWRIGHT_BROWSER=required says that there must be one.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
_QUIET = (
    "--no-sandbox",  # tests run as root, too, and open nothing but their own pages
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@contextmanager
def chromium() -> Iterator[Browser]:
    """The browser; skips or fails where there is none."""
    program = next((path for name in _NAMES if (path := shutil.which(name))), None)
    if program is None:
        if os.environ.get("PEELWRIGHT_BROWSER") == "required":
            pytest.fail(f"none of {', '.join(_NAMES)} is installed, and PEELWRIGHT_BROWSER requires one")
        pytest.skip(f"none of {', '.join(_NAMES)} is installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(_QUIET))
        yield browser
        browser.close()


@contextmanager
def opened(browser: Browser, file: Path, width: int = 1280, **settings: Any) -> Iterator[Page]:
    """A page from the disk. What the browser complains of, and whatever is fetched beside it, is a failure."""
    context = browser.new_context(viewport={"width": width, "height": 900}, reduced_motion="reduce", **settings)
    page = context.new_page()
    faults: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: faults.append(message.text))
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    yield page
    context.close()
    assert faults == []
    assert asked == [file.as_uri()]


def axe_violations(page: Page) -> list[str]:
    """What axe-core finds against WCAG 2.2, levels A and AA: `rule: element`.

    Rules by https://github.com/dequelabs/axe-core; the library is the copy inside axe-playwright-python.
    """
    import axe_playwright_python

    page.evaluate((Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text("utf-8"))
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    found = page.evaluate("tags => axe.run(document, {runOnly: tags, resultTypes: ['violations']})", tags)
    return [f"{rule['id']}: {node['html']}" for rule in found["violations"] for node in rule["nodes"]]
