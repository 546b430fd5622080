"""In whose language a page is: of the person, of the device, of the browser."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.test import Client
from django.utils import translation

from core.languages.dates import day, moment
from core.languages.words import all_of, number, one_of, signed
from core.models import User
from tests.support.world import World

pytestmark = pytest.mark.django_db
LOG_IN = "/login/"


def language_of(client: Client, **headers: str) -> str:
    return str(client.get(LOG_IN, headers=headers).headers["Content-Language"])


def test_the_browser_is_heard_where_nobody_chose(client: Client) -> None:
    assert language_of(client) == "en-gb"
    assert language_of(client, accept_language="de-AT,de;q=0.9,en;q=0.5") == "de"
    assert language_of(client, accept_language="xx,ja;q=0.4") == "ja"
    assert language_of(client, accept_language="nl") == "en-gb"


def test_the_choice_on_the_device_comes_before_the_browser(client: Client) -> None:
    answer = client.post("/language/", {"language": "fr", "next": LOG_IN})
    assert answer.headers["Location"] == LOG_IN
    assert language_of(client, accept_language="de") == "fr"


def test_the_choice_of_a_person_goes_with_them(world: World) -> None:
    client = Client()
    client.force_login(world.engineer)
    client.post("/language/", {"language": "es"})
    assert User.objects.get(pk=world.engineer.pk).language == "es"
    elsewhere = Client()
    elsewhere.force_login(world.engineer)
    assert elsewhere.get("/account/").headers["Content-Language"] == "es"


def test_each_language_is_offered_by_its_own_name(client: Client) -> None:
    page = client.get(LOG_IN, headers={"accept-language": "de"}).content.decode()
    offered = page[page.index('class="languages"') :]
    for name in ("English", "Deutsch", "Español", "Français", "日本語"):
        assert f">{name}</button>" in offered


def test_another_language_than_those_is_refused(client: Client) -> None:
    answer = client.post("/language/", {"language": "xx"})
    assert answer.status_code == 400
    assert "language" not in answer.cookies


def test_a_page_is_kept_apart_by_language(client: Client) -> None:
    vary = client.get(LOG_IN).headers["Vary"]
    assert {"Accept-Language", "Cookie"} <= {each.strip() for each in vary.split(",")}


# Common usage of each language; the decimal signs are those of Unicode CLDR (from memory).
@pytest.mark.parametrize(
    ("language", "numbers", "days"),
    [
        ("en-gb", ("1.50", "−0.5", "+3", "0"), ("3 Dec 2026", "3 Dec 2026, 14:05")),
        ("de", ("1,50", "−0,5", "+3", "0"), ("3. Dez. 2026", "3. Dez. 2026, 14:05")),
        ("es", ("1,50", "−0,5", "+3", "0"), ("3 dic 2026", "3 dic 2026, 14:05")),
        ("fr", ("1,50", "−0,5", "+3", "0"), ("3 déc. 2026", "3 déc. 2026, 14:05")),
        ("ja", ("1.50", "−0.5", "+3", "0"), ("2026年12月3日", "2026年12月3日 14:05")),
    ],
)
def test_numbers_and_days(language: str, numbers: tuple[str, ...], days: tuple[str, str]) -> None:
    at = datetime(2026, 12, 3, 14, 5, tzinfo=UTC)
    with translation.override(language):
        assert (number(1.5, 2), number(-0.5), signed(3.0), number(-0.0, 0)) == numbers
        assert (day(at), moment(at)) == days


def test_lists() -> None:
    assert [all_of("ABC"[:n]) for n in range(4)] == ["", "A", "A and B", "A, B and C"]
    assert one_of("ABC") == "A, B or C"
