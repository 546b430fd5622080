"""*Save and add another*: one meaning on every form of a thing one makes many of."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any
from uuid import UUID, uuid4

import pytest

from core.models import Leg, Song
from notes.models import Trial
from rigs.changes.edits import Add
from rigs.models import Input
from tests.support.pages import as_user
from tests.support.pages import at as place
from tests.support.rig_pages import Page, at
from tests.support.world import World

BUTTON = '<button class="button" name="another" value="1">Save and add another</button>'


def make_leg(world: World) -> Leg:
    dates = {"starts_on": date(2031, 3, 1), "ends_on": date(2031, 3, 9)}
    return Leg.objects.create(production=world.production, name="Spring", **dates)


def make_song(world: World) -> Song:
    return Song.objects.create(production=world.production, title="Slow Lantern")


def make_show(world: World) -> Any:
    return make_leg(world).shows.create(held_on=date(2031, 3, 1), room="Hall")


def make_trial(world: World) -> Trial:
    return Trial.objects.create(
        production=world.production,
        rig=world.rig,
        input=world.input,
        question="Which one?",
        opened_by=world.engineer,
    )


def make_unit(world: World) -> UUID:
    unit = uuid4()
    world.record(Add(str(unit), "unit", {"name": "Box", "gear": "pedal"}))
    return unit


# Where the form is, what is typed into it, and what the address of the next one says.
FORMS: dict[str, tuple[Callable[[World], str], Callable[[World], dict[str, Any]], str]] = {
    "player": (
        lambda w: place(w, "core:player_new"),
        lambda w: {"name": "Mo", "instrument": "drums"},
        "",
    ),
    "leg": (
        lambda w: place(w, "core:leg_new"),
        lambda w: {"name": "Fall", "starts_on": "2031-09-01", "ends_on": "2031-09-30"},
        "starts_on=2031-10-01",
    ),
    "show": (
        lambda w: place(w, "core:show_new", make_leg(w).pk),
        lambda w: {"held_on": "2031-03-31", "room": "Hall", "town": "Veld"},
        "held_on=2031-04-01",
    ),
    "song": (lambda w: place(w, "core:song_new"), lambda w: {"title": "Tin"}, ""),
    "section": (
        lambda w: place(w, "core:section_new", make_song(w).pk),
        lambda w: {"name": "Bridge"},
        "",
    ),
    "research": (
        lambda w: place(w, "core:research_new", make_song(w).pk),
        lambda w: {
            "player": w.player.pk,
            "release": "First",
            "does": "It rings.",
            "take": "The ring.",
        },
        "player={player}&release=First",
    ),
    "rig": (
        lambda w: place(w, "rigs:new"),
        lambda w: {"player": w.player.pk, "name": "Fly", "variant": "fly"},
        "",
    ),
    "unit": (lambda w: f"{at(w, 'unit_new')}?gear=pedal", lambda w: {"name": "Fuzz"}, ""),
    "control": (
        lambda w: at(w, "control_new", w.unit),
        lambda w: {"name": "Mid", "style": "dial", "low": "1", "high": "11", "setting": "6.5"},
        "style=dial&low=1&high=11",
    ),
    "cable": (
        lambda w: at(w, "link_new"),
        lambda w: {"source": make_unit(w), "target": w.unit.pk, "to_socket": "in"},
        "source={unit}",
    ),
    "input": (
        lambda w: at(w, "input_new"),
        lambda w: {"number": "6", "name": "Top", "unit": w.unit.pk},
        "unit={unit}&number=8",  # the world has 7
    ),
    "device": (
        lambda w: place(w, "rigs:device_new"),
        lambda w: (
            {"name": "D2", "maker": "Hallam", "form": "mic", "principle": "condenser"}
            | {"pattern": "omni", "phantom": "on", "serials": "17"}
        ),
        "maker=Hallam&form=mic&principle=condenser&pattern=omni&phantom=on",
    ),
    "spare": (
        lambda w: at(w, "spare_new", w.unit),
        lambda w: (
            {"sort": "valve", "what": "Output", "maker": "Tarn", "every": "90"} | {"per": "days"}
        ),
        "sort=valve&maker=Tarn&every=90&per=days",
    ),
    "hire": (
        lambda w: place(w, "rigs:hire_new", make_show(w).pk),
        lambda w: {"section": "devices", "what": "D2", "count": "1", "from_whom": "Ash Hire"},
        "section=devices&from_whom=Ash+Hire",
    ),
    "note": (
        lambda w: place(w, "notes:note_new", w.rig.pk),
        lambda w: {"verdict": "keep", "words": "Good.", "song": make_song(w).pk},
        "song={song}",
    ),
    "alternative": (
        lambda w: place(w, "notes:trial_alternative_new", make_trial(w).pk),
        lambda w: {"device": w.other_mic.pk},
        "",
    ),
}


@pytest.mark.parametrize("kind", FORMS)
def test_the_next_form_begins_with_what_is_the_same(kind: str, world: World) -> None:
    where, typed, said = FORMS[kind]
    url, values = where(world), typed(world)
    client = as_user(world.engineer)
    page = Page(client, url)
    assert BUTTON in page.html
    sent = page.send(**{name: str(value) for name, value in values.items()}, another="1")
    assert sent.status == 302, sent.response.context["form"].errors
    song = Song.objects.first()
    ids = {"unit": world.unit.pk, "player": world.player.pk, "song": song.pk if song else ""}
    query = said.format(**ids)
    path = url.split("?")[0]
    assert sent.response.headers["Location"] == (f"{path}?{query}" if query else path)
    following = Page(client, sent.response.headers["Location"])
    for pair in filter(None, query.split("&")):
        name, value = pair.split("=")
        assert following.sent[name] == value.replace("+", " ")


@pytest.mark.parametrize("kind", ["player", "input", "song", "device"])
def test_without_the_button_it_leads_elsewhere(kind: str, world: World) -> None:
    where, typed, _ = FORMS[kind]
    page = Page(as_user(world.engineer), where(world))
    sent = page.send(**{name: str(value) for name, value in typed(world).items()})
    assert sent.status == 302
    assert sent.response.headers["Location"].split("?")[0] != page.url


def test_a_form_of_what_is_there_offers_no_other(world: World) -> None:
    client = as_user(world.tech)
    for url in (
        at(world, "input_edit", world.input),
        place(world, "rigs:device_edit", world.mic.pk),
    ):
        assert BUTTON not in Page(client, url).html


def test_what_an_address_says_is_offered_only_where_the_form_offers_it(world: World) -> None:
    page = Page(as_user(world.tech), f"{at(world, 'input_new')}?unit=nowhere&base=9&name=Top")
    assert (page.sent["unit"], page.sent["name"]) == ("", "Top")
    assert page.sent["base"] == "1"


def test_an_invitation_leads_to_the_next_with_the_same_roles(world: World) -> None:
    client = as_user(world.people["manager"])
    url = place(world, "core:invite")
    made = client.post(url, {"email": "mo@example.org", "roles": ["tech", "crew"]})
    next_url = f"{url}?roles=tech&roles=crew"
    assert next_url.replace("&", "&amp;") in made.content.decode()
    form = client.get(next_url).context["form"]
    assert form["roles"].value() == ["tech", "crew"]
    assert not form["email"].value()


def test_the_next_channel_is_free(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_new"))
    sent = page.send(number="6", name="Top", another="1")
    assert sent.response.headers["Location"].endswith("?number=8")
    assert Input.objects.filter(rig=world.rig, number=7).exists()
