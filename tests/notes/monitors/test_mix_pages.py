"""Monitor mixes on their pages: written, changed by two, wished for, signed, printed."""

from __future__ import annotations

import re
from datetime import date
from typing import Any
from uuid import uuid4

import pypdfium2
import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import translation

from core.access.policy import POLICY, Action
from core.models import Leg, Player, Show
from core.models.roles import Role
from core.search.backend import search
from notes.models import MixSignOff, MixVersion, MixWish, MixWishMark, MonitorMix
from notes.monitors import signing
from notes.monitors.refs import Known
from notes.monitors.services import change, create, mixes_now, state_at
from notes.monitors.shown import all_shown
from notes.monitors.state import MixState, Want
from notes.monitors.verify import broken_mixes
from tests.support.matterhorn import failures
from tests.support.pages import as_user
from tests.support.world import World

pytestmark = pytest.mark.django_db


@pytest.fixture
def monitors(world: World) -> Client:
    return as_user(world.people[Role.MONITORS])


@pytest.fixture
def show(world: World) -> Show:
    leg = Leg.objects.create(
        production=world.production,
        name="Coast",
        starts_on=date(2026, 9, 1),
        ends_on=date(2026, 9, 9),
    )
    show: Show = Show.objects.create(leg=leg, held_on=date(2026, 9, 2), room="Barn")
    return show


@pytest.fixture
def mix(world: World) -> MonitorMix:
    want = Want(str(uuid4()), "more", (f"input:{world.input.pk}",), words="the thump")
    state = MixState("Wedge", player=str(world.player.pk), wants=(want,), limiter="Always on.")
    return create(world.production, state, by=world.engineer)


def url(world: World, more: str = "") -> str:
    return f"/p/{world.production.pk}/mixes/{more}"


def typed(page: Any) -> dict[str, Any]:
    """What the form of the page would send."""
    form = page.context["form"]
    sent: dict[str, Any] = {"row": []}
    for each in form.head:
        sent[each.html_name] = "" if each.value() is None else each.value()
    for row in form.wants:
        sent["row"].append(row.want.id)
        for each in row:
            sent[each.html_name] = "" if each.value() is None else each.value()
    return sent


def test_who_may_change_mixes_and_who_may_wish() -> None:
    assert POLICY[Action.EDIT_MIX] == {Role.ENGINEER, Role.MONITORS, Role.TECH}
    assert POLICY[Action.WISH] == POLICY[Action.EDIT_MIX] | {Role.PLAYER, Role.CREW}
    assert POLICY[Action.SIGN_MIX] == {Role.PLAYER}
    sees = {action for action, roles in POLICY.items() if Role.CREW in roles}
    assert all(Role.MONITORS in POLICY[action] for action in sees)
    assert Role.MONITORS in POLICY[Action.WRITE_NOTE]
    assert Role.MONITORS in POLICY[Action.UPLOAD]


def test_a_mix_is_written_down_in_the_order_of_its_lines(world: World, monitors: Client) -> None:
    sent = typed(monitors.get(url(world, "new/")))
    first, second, third = sent["row"]
    sent |= {"name": "Ears", "kind": "ear_stereo", "player": str(world.player.pk)}
    sent |= {f"{first}-inputs": str(world.input.number), f"{first}-words": "the thump"}
    sent |= {f"{second}-words": "a little room", f"{second}-level": "enough", f"{second}-place": 1}
    sent |= {f"{third}-inputs": world.player.name, f"{third}-level": "none"}
    assert monitors.post(url(world, "new/"), sent).status_code == 302
    made = MonitorMix.objects.get()
    state = state_at(made, 1)
    assert [want.words for want in state.wants] == ["a little room", "the thump", ""]
    assert state.wants[1].inputs == (f"input:{world.input.pk}",)
    assert state.wants[2].inputs == (f"player:{world.player.pk}",)
    page = monitors.get(made.get_absolute_url()).content.decode()
    assert "a little room" in page
    assert "Hearing" in page


def test_what_is_wrong_is_said_and_what_was_typed_stays(world: World, monitors: Client) -> None:
    sent = typed(monitors.get(url(world, "new/")))
    first, second, _ = sent["row"]
    sent |= {"name": "Ears", f"{first}-inputs": "Cowbell", f"{first}-words": "keep these words"}
    sent |= {f"{second}-inputs": str(world.input.number), f"{second}-level": "as_loud"}
    page = monitors.post(url(world, "new/"), sent)
    text = page.content.decode()
    assert "“Cowbell” is no input, rig or player here." in text
    assert "keep these words" in text
    assert "Cowbell" in text
    sent[f"{first}-inputs"] = ""
    text = monitors.post(url(world, "new/"), sent).content.decode()
    assert "As loud as what? Name one input." in text
    assert "Say whose mix it is" in text
    assert not MonitorMix.objects.exists()


def test_names_numbers_and_ranges_are_read(world: World) -> None:
    known = Known(world.production.pk)
    ref = f"input:{world.input.pk}"
    number = world.input.number
    assert known.read(f"{number}") == (ref,)
    assert known.read(known.name(ref).upper()) == (ref,)
    assert known.read(f"{number}-{number + 3}; {number}") == (ref,)
    assert known.read(f"all of {world.rig.name}") == (f"rig:{world.rig.pk}",)
    assert known.covers(f"player:{world.player.pk}", ref)
    for wrong in ("900-901", "9-1", "4711"):
        with pytest.raises(ValidationError):
            known.read(wrong)


@pytest.mark.parametrize("reader", ["en", "de", "ja"])
def test_names_and_ranges_are_read_in_every_language(world: World, reader: str) -> None:
    ref, rig = f"input:{world.input.pk}", f"rig:{world.rig.pk}"
    number = world.input.number
    assert number is not None
    with translation.override(reader):
        known = Known(world.production.pk)
        said = known.name(rig)
        spans = (f"{number} {word} {number + 3}" for word in ("to", "bis", "a", "à", "〜", "から"))
        for span in spans:
            assert known.read(f"{span}、{number}") == (ref,)
    for other in ("en", "de", "es", "fr", "ja"):
        with translation.override(other):
            assert Known(world.production.pk).read(said) == (rig,)
            # What is written for its reader is read back.
            known = Known(world.production.pk)
            assert known.read(known.typed([ref, rig])) == (ref, rig)


def test_two_who_change_it_at_once_lose_nothing(
    world: World, mix: MonitorMix, monitors: Client
) -> None:
    page = monitors.get(url(world, f"{mix.pk}/edit/"))
    mine = typed(page)
    [kept, first_new, *_] = mine["row"]
    now = state_at(mix, 1)
    theirs = MixState(
        **{
            **{name: getattr(now, name) for name in ("name", "kind", "player", "limiter")},
            "eq": "Less at 400 Hz.",
            "wants": (
                Want(kept, "less", now.wants[0].inputs, words="too much"),
                Want(str(uuid4()), "enough", words="a click"),
            ),
        }
    )
    change(mix, theirs, base=1, by=world.engineer)
    mine |= {f"{kept}-level": "none", f"{first_new}-words": "my own line"}
    again = monitors.post(url(world, f"{mix.pk}/edit/"), mine)
    text = again.content.decode()
    assert again.status_code == 409
    assert "they wrote “less”, you wrote “none”" in text
    for words in ("a click", "my own line", "Less at 400 Hz.", "too much"):
        assert words in text
    assert MixVersion.objects.count() == 2
    assert monitors.post(url(world, f"{mix.pk}/edit/"), typed(again)).status_code == 302
    state = state_at(mix, 3)
    assert [(want.level, want.words) for want in state.wants] == [
        ("none", "too much"),
        ("more", "my own line"),
        ("enough", "a click"),
    ]
    assert state.eq == "Less at 400 Hz."
    words = MixVersion.objects.get(number=3).words
    assert len(words) == 2
    assert not list(broken_mixes())


def test_history_compares_two_versions_in_words(
    world: World, mix: MonitorMix, monitors: Client
) -> None:
    state = state_at(mix, 1)
    change(mix, MixState("Wedge", player=state.player), base=1, by=world.engineer)
    page = monitors.get(url(world, f"{mix.pk}/history/?from=1&to=2")).content.decode()
    assert "Taken out: more" in page
    assert "Limiter: nothing." in page
    with pytest.raises(IntegrityError), transaction.atomic():
        MixVersion.objects.filter(number=1).update(by_name="Somebody")


def test_a_wish_is_for_one_show_and_ticked_once(
    world: World, mix: MonitorMix, show: Show, monitors: Client
) -> None:
    here = f"/p/{world.production.pk}/shows/{show.pk}/mixes/"
    player = as_user(world.people[Role.PLAYER])
    sent = {"mix": str(mix.pk), "words": "Less cymbals", "request_key": "a-key-of-a-page-1"}
    for _ in range(2):
        assert player.post(here, sent).status_code == 302
    wished = MixWish.objects.get()
    tick = f"{here}wishes/{wished.pk}/mark/"
    assert player.post(tick, {"state": "done"}).status_code == 403
    for _ in range(2):
        monitors.post(tick, {"state": "done", "request_key": "another-key-00"})
        monitors.post(tick, {"state": "done"})
    assert MixWishMark.objects.count() == 1
    text = monitors.get(here).content.decode()
    assert "Less cymbals" in text
    assert "Hearing" in text
    assert "is-done" in text
    assert mix.versions.count() == 1
    leg = monitors.get(show.leg.get_absolute_url()).content.decode()
    assert "0 of 1 wish" in re.sub(r"\s+", " ", leg)
    refused = player.post(here, {"mix": str(mix.pk), "words": " "})
    assert "Say what is wished." in refused.content.decode()
    other = player.post(here, {"mix": str(mix.pk), "words": "Taken back"})
    assert other.status_code == 302
    last = MixWish.objects.exclude(pk=wished.pk).get()
    assert player.post(f"{here}wishes/{last.pk}/mark/", {"state": "taken_back"}).status_code == 302


def test_a_player_signs_by_a_link_and_a_change_shows(
    world: World, mix: MonitorMix, monitors: Client, client: Client
) -> None:
    asked = monitors.post(url(world, f"{mix.pk}/ask/"), {"version": 1})
    address = asked.context["asked"].url.replace("http://testserver", "")
    page = client.get(address)
    assert "is this your mix?" in page.content.decode()
    assert "Hearing" in page.content.decode()
    assert "the thump" in page.content.decode()
    refused = client.post(address, {"decision": "withheld", "words": ""})
    assert "Say what is missing" in refused.content.decode()
    assert client.post(address, {"decision": "signed", "words": "Yes."}).status_code == 200
    assert client.get(address).status_code == 404
    made = MixSignOff.objects.get()
    assert made.version_digest == mix.versions.get().digest
    assert made.user is None
    assert _standing(world) == "signed"
    # Another name is not heard, another level is.
    state = state_at(mix, 1)
    renamed = MixState.from_plain(state.plain() | {"name": "Wedge 2"})
    change(mix, renamed, base=1, by=world.engineer)
    assert _standing(world) == "signed"
    change(mix, MixState.from_plain(renamed.plain() | {"eq": "x"}), base=2, by=world.engineer)
    assert _standing(world) == "changed"
    assert "Since then:" in monitors.get(url(world, f"{mix.pk}/")).content.decode()
    change(mix, renamed, base=3, by=world.engineer)
    assert _standing(world) == "signed"
    assert not list(broken_mixes())


def _standing(world: World) -> str:
    [entry] = all_shown(world.production)
    return str(entry.status.state)


def test_a_link_for_an_older_version_signs_nothing(
    world: World, mix: MonitorMix, monitors: Client, client: Client
) -> None:
    asked = monitors.post(url(world, f"{mix.pk}/ask/"), {"version": 1})
    address = asked.context["asked"].url.replace("http://testserver", "")
    change(mix, MixState("W", player=str(world.player.pk)), base=1, by=world.engineer)
    page = client.post(address, {"decision": "signed"}).content.decode()
    assert "The mix has changed" in page
    assert not MixSignOff.objects.exists()
    assert monitors.post(url(world, f"{mix.pk}/ask/withdraw/")).status_code == 302
    assert client.get(address).status_code == 404


def test_a_player_signs_their_own_mixes_only(world: World, mix: MonitorMix) -> None:
    player = as_user(world.people[Role.PLAYER])
    sent = {"decision": "withheld", "words": "Still too much bass.", "version": 1}
    assert player.post(url(world, f"{mix.pk}/sign/"), sent).status_code == 302
    assert MixSignOff.objects.get().words == "Still too much bass."
    assert _standing(world) == "withheld"
    other = Player.objects.create(production=world.production, name="Ada", instrument="drums")
    theirs = create(world.production, MixState("Fill", player=str(other.pk)), by=world.engineer)
    assert player.get(url(world, f"{theirs.pk}/sign/")).status_code == 403
    with pytest.raises(PermissionDenied):
        signing.sign(mix=theirs, version=1, decision="signed", player=world.player)


def test_changed_rows_are_found_by_verify(world: World, mix: MonitorMix) -> None:
    signing.sign(mix=mix, version=1, decision="signed", player=world.player)
    assert not list(broken_mixes())
    version, made = mixes_now([mix])[0].newest, MixSignOff.objects.get()
    forged = MixVersion(
        mix=mix, number=2, state=version.state, digest="0" * 64, by_name="Nobody", words=[]
    )
    forged.save()
    [wrong] = broken_mixes()
    assert "its digest does not match" in wrong
    made.pk, made.words = uuid4(), "forged"
    made.save(force_insert=True)
    assert len(list(broken_mixes())) == 2


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_on_paper_each_mix_has_its_page(
    world: World, mix: MonitorMix, show: Show, monitors: Client, paper: str
) -> None:
    create(world.production, MixState("Side fill", position="stage left"), by=world.engineer)
    monitors.post(
        f"/p/{world.production.pk}/shows/{show.pk}/mixes/", {"mix": str(mix.pk), "words": "Dry"}
    )
    response = monitors.get(f"/p/{world.production.pk}/shows/{show.pk}/mixes.pdf?paper={paper}")
    assert list(failures(response.content)) == []
    pages = list(pypdfium2.PdfDocument(response.content))
    assert len(pages) == 2
    # ISO 216: A4 is 210 mm wide, 595 pt; Letter is 8.5 in, 612 pt (ANSI/ASME Y14.1).
    assert round(pages[0].get_width()) == (595 if paper == "a4" else 612)
    texts = [" ".join(page.get_textpage().get_text_range().split()) for page in pages]
    whole = next(text for text in texts if "the thump" in text)
    assert "Dry" in whole
    assert "Hearing" in whole
    assert "Always on." in whole


def test_found_and_over_the_api(world: World, mix: MonitorMix, monitors: Client) -> None:
    hits = search(world.production, "thump").hits
    assert "Monitor mix: Wedge, Ines Halloran" in {_said(hit.title) for hit in hits}
    place = f"/api/v1/productions/{world.production.pk}"
    [row] = monitors.get(f"{place}/monitor-mixes/").json()["results"]
    assert row["name"] == "Wedge"
    assert row["wants"][0]["words"] == "the thump"
    assert row["digest"] == mix.versions.get().digest
    assert monitors.get(f"{place}/mix-wishes/").json()["results"] == []


def _said(segments: Any) -> str:
    return "".join(each.text for each in segments)


def test_queries_do_not_grow(world: World, show: Show, monitors: Client) -> None:
    counts = []
    for many in (1, 6):
        for at in range(many):
            create(
                world.production,
                MixState(f"Mix {many} {at}", player=str(world.player.pk)),
                by=world.engineer,
            )
        counts.append(
            [
                _queries(monitors, url(world)),
                _queries(monitors, f"/p/{world.production.pk}/shows/{show.pk}/mixes/"),
                _queries(monitors, show.leg.get_absolute_url()),
            ]
        )
    assert counts[0] == counts[1]


def _queries(client: Client, address: str) -> int:
    client.get(address)  # so that what is remembered between requests is
    with CaptureQueriesContext(connection) as caught:
        assert client.get(address).status_code == 200
    return len(caught)


def test_a_retired_mix_is_off_the_lists_and_comes_back(
    world: World, mix: MonitorMix, monitors: Client
) -> None:
    monitors.post(url(world, f"{mix.pk}/retire/"))
    assert not all_shown(world.production)
    with pytest.raises(ValidationError):
        change(mix, MixState("W", position="x"), base=1, by=world.engineer)
    monitors.post(url(world, f"{mix.pk}/retire/"), {"back": "1"})
    assert len(all_shown(world.production)) == 1
