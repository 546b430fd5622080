"""Pages about what a device stores, where the browser lets no service worker run.

That is so at addresses without HTTPS and in older browsers: W3C, Service Workers (secure contexts).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.support.phones import Phone, Stage, check_page, go

pytestmark = pytest.mark.browser
LACKING = "delete Navigator.prototype.serviceWorker;"
INSECURE = f"{LACKING} Object.defineProperty(window, 'isSecureContext', {{ value: false }});"


@pytest.mark.parametrize(
    ("script", "reason"),
    [
        (LACKING, "This browser does not offer what that needs"),
        (INSECURE, "The address of this page begins with http"),
        ("navigator.serviceWorker.register = () => Promise.reject(new Error())", "This browser"),
    ],
)
def test_they_say_why_nothing_is_stored_and_nothing_waits(
    playwright: Playwright, tmp_path: Path, stage: Stage, script: str, reason: str
) -> None:
    phone = Phone(playwright, tmp_path / "phone", stage)
    page = phone.open()
    try:
        phone.sign_in("tech")
        page.add_init_script(script)
        for path, words in (
            ("/kept/", "No page can be stored on this device."),
            ("/waiting/", "Forms are sent at once and cannot wait here."),
        ):
            go(page, stage, path)
            notice = page.locator("[data-no-worker]")
            expect(notice).to_contain_text(words)
            expect(notice).to_contain_text(reason)
            expect(notice.locator("span:visible")).to_have_count(1)
            check_page(page)
    finally:
        phone.close()
