"""A passkey on a phone: made, used without typing anything, removed; and a password shown.

The device is Chromium's own, in software (W3C Web Authentication, section 11).
"""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from core.models import Passkey
from tests.support.phones import PHONE
from tests.support.world import World

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


def test_a_passkey_is_made_used_and_removed(
    world: World, live_server: Any, browser: Browser
) -> None:
    # A passkey belongs to a name, which an address of numbers is not.
    base = live_server.url.replace("127.0.0.1", "localhost")
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    # A browser that offers passkeys by itself does so only where the test says so.
    context.add_init_script(
        """if (location.hash !== "#offers") {
          PublicKeyCredential.isConditionalMediationAvailable = async () => false;
        }"""
    )
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    page.goto(f"{base}/login/")
    page.get_by_label("e-mail").fill(world.tech.email)
    password = page.get_by_label("password", exact=False).first
    password.fill("long-enough-1")
    page.get_by_text("Show the password").tap()
    expect(password).to_have_attribute("type", "text")
    page.get_by_role("button", name="Log in", exact=True).tap()
    page.wait_for_url(f"{base}/")

    cdp = context.new_cdp_session(page)
    cdp.send("WebAuthn.enable")
    cdp.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
    page.goto(f"{base}/account/getting-in/")
    page.get_by_label("what you call it").fill("my phone")
    page.get_by_role("button", name="Make a passkey").tap()
    expect(page.get_by_role("heading", name="my phone")).to_be_visible()
    page.get_by_label("what you call it").fill("again")
    page.get_by_role("button", name="Make a passkey").tap()
    expect(page.get_by_text("This device has a passkey of yours already.")).to_be_visible()

    page.get_by_role("button", name="Log out here").tap()
    page.wait_for_url(f"{base}/login/**")
    page.get_by_role("button", name="Log in with a passkey").tap()
    page.wait_for_url(f"{base}/")
    first = Passkey.objects.get().sign_count
    page.goto(f"{base}/account/getting-in/")
    page.get_by_role("button", name="Log out here").tap()
    page.wait_for_url(f"{base}/login/**")
    page.goto(f"{base}/login/?next=/account/#offers")
    page.wait_for_url(f"{base}/account/")  # nothing was pressed here
    assert Passkey.objects.get().sign_count > first > 0

    page.goto(f"{base}/account/getting-in/")
    expect(page.get_by_text("by passkey")).to_be_visible()
    page.get_by_role("button", name="Remove the passkey my phone").tap()
    expect(page.get_by_text("“my phone” opens nothing any more.")).to_be_visible()
    page.get_by_role("button", name="Log out here").tap()
    page.wait_for_url(f"{base}/login/**")
    page.get_by_role("button", name="Log in with a passkey").tap()
    expect(page.get_by_text("This passkey is not known here")).to_be_visible()
    assert errors == []
    context.close()
