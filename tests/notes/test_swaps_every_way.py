"""Whatever way another microphone gets onto an input, what was set for the old one is asked about,
safe values are offered first, and whoever wants something else gets it.

The old microphone (2 mV/Pa) needs phantom power and has it, with 40 dB of gain and a pad; the new
one is a passive ribbon of 8 mV/Pa. Four times the voltage is 12.04 dB (tables of decibels; from
memory), so that like for like is 27.96 dB: to half a dB downwards 27.5.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any, NamedTuple

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from core.models import Show
from notes.linecheck.permanent import make_permanent
from rigs.changes.edits import Set
from rigs.changes.reasons import NO_REASON
from rigs.models import Device, Input, Revision
from rigs.revisions.record import restore
from rigs.revisions.swaps import SwapUndecided
from rigs.shows.services import differ, row_of
from rigs.swaps import FIELDS
from tests.rigs.shows.shows import make_show
from tests.support.api import api
from tests.support.listening import hear, heard_alternative, open_a_trial
from tests.support.rig_pages import Page, as_user, at
from tests.support.world import HIRE, World, make_device

WHY = {"reason_kind": "hire", "reason_words": "Ours is in repair."}
DAY_WHY = {"why": "hire", "words": "Ours is in repair."}
OLD = {"phantom": True, "gain_db": "40", "pad_db": "-10"}
SAFE = (False, Decimal("27.5"), Decimal(-10))
LEFT = (True, Decimal(40), Decimal(-10))
RIBBON = "is a passive ribbon"


class Place(NamedTuple):
    world: World
    show: Show
    old: Device
    new: Device

    @property
    def client(self) -> Client:
        return as_user(self.world.tech)

    def within(self, name: str, *parts: Any) -> str:
        ids = [getattr(part, "pk", part) for part in parts]
        return reverse(name, args=[self.world.production.pk, *ids])

    def key(self, field: str) -> str:
        return f"swap-{self.world.input.pk}-{field}"

    def put(self, device: Device, reason: Any = HIRE, **more: Any) -> None:
        """Put a device on the input, knowing all that was set for the one before."""
        fields = {"device": str(device.pk), **OLD, **more}
        self.world.record(Set(str(self.world.input.pk), "input", fields), reason=reason)


@pytest.fixture
def place(world: World) -> Place:
    return make_place(world)


@pytest.fixture
def own(world: World) -> Place:
    """The pad is the old microphone's own, and somebody has left the ground lift of a DI on."""
    return make_place(world, pad_at="device", ground_lift=True)


def make_place(world: World, **more: Any) -> Place:
    old = make_device(
        world.production,
        "Lath",
        principle="condenser",
        phantom=True,
        sensitivity_mv_pa=Decimal(2),
    )
    new = make_device(world.production, "Sail", principle="ribbon", sensitivity_mv_pa=Decimal(8))
    found = Place(world, make_show(world), old, new)
    found.put(new, **more)  # change 2 is wrong like that, and on record
    found.put(old, **more)  # change 3
    return found


# Each way: takes what is proposed, or with `leave` leaves everything as it was; returns what the
# page or the answer said before anything was written.
Way = Callable[[Place, bool], str]


def by_trial(place: Place, leave: bool) -> str:
    trial = open_a_trial(place.world)
    chosen = heard_alternative(place.world, trial, place.new)
    page = Page(place.client, place.within("notes:trial_choose", chosen))
    typed = {place.key("phantom"): "on", place.key("gain_db"): "40"} if leave else {}
    assert page.send(decision="Body.", **typed).status == 302
    return page.html


def _own_form(place: Place, url: str, leave: bool, **why: Any) -> str:
    asked = Page(place.client, url).send(device=str(place.new.pk), **why)
    assert asked.status == 200
    assert Input.objects.get().device == place.old
    typed = {"phantom": "on", "gain_db": "40"} if leave else {}
    assert asked.send(**typed).status == 302
    return asked.html


def by_a_note(place: Place, leave: bool) -> str:
    url = place.within("notes:note_change_input", hear(place.world), place.world.input)
    return _own_form(place, url, leave)


def by_the_inputs_page(place: Place, leave: bool) -> str:
    return _own_form(place, at(place.world, "input_edit", place.world.input), leave, **WHY)


def by_the_administration(place: Place, leave: bool) -> str:
    boss = place.world.outsider
    boss.is_staff = boss.is_superuser = True
    boss.save()
    url = reverse("admin:rigs_input_change", args=[place.world.input.pk])
    client = as_user(boss)
    answer = client.get(url)
    sent = _admin_posted(answer) | {"device": str(place.new.pk)} | WHY
    asked = client.post(url, sent)
    assert Input.objects.get().device == place.old
    typed = {"phantom": "on", "gain_db": "40"} if leave else {}
    again = client.post(url, _admin_posted(asked) | typed)
    assert again.status_code == 302, again.context["adminform"].form.errors
    return str(asked.content.decode())


def _admin_posted(answer: Any) -> dict[str, Any]:
    form = answer.context["adminform"].form
    found = {}
    for bound in form:
        value = bound.value()
        if value is True or value == "on":
            found[bound.html_name] = "on"
        elif value is not None and value is not False and value != "":
            found[bound.html_name] = bound.field.prepare_value(value)
    return found


def by_a_list(place: Place, leave: bool, show: Show | None = None) -> str:
    heads, cells = ("Ch,Name,Player,Mic,48V,Gain", ",x,40") if leave else ("Ch,Name,Player,Mic", "")
    text = f"{heads}\n7,Bass mic,Ines Halloran,Sail{cells}\n"
    url = place.within(
        "rigs:show_list_import" if show else "rigs:list_import_new", *[show][: bool(show)]
    )
    sent = place.client.post(url, {"file": _file(text)})
    page = Page(place.client, sent.headers["Location"])
    assert page.send(confirm="1", **(DAY_WHY if show else WHY)).status == 302
    return page.html


def _file(text: str) -> Any:
    return SimpleUploadedFile("list.csv", text.encode())


def by_a_list_for_a_show(place: Place, leave: bool) -> str:
    return by_a_list(place, leave, place.show)


def by_the_page_of_a_show(place: Place, leave: bool) -> str:
    url = place.within("rigs:show_input", place.show, place.world.input)
    asked = Page(place.client, url).send(device=str(place.new.pk), **DAY_WHY)
    assert asked.status == 200
    assert row_of(place.show, Input.objects.get()).entry.device == place.old
    typed = {"phantom": "true", "gain_db": "40"} if leave else {}
    assert asked.send(**typed).status == 302
    return asked.html


def by_the_line_check(place: Place, leave: bool) -> str:
    page = Page(place.client, place.within("notes:line_check_input", place.show, place.world.input))
    typed = {"as_it_is": "kept"} if leave else {}
    done = page.send(state="deviates", device=str(place.new.pk), **DAY_WHY, **typed)
    assert done.status == 302
    after = done.client.get(done.response.headers["Location"]).content.decode()
    assert (f"Set at {place.world.input} for the substitute: phantom power off" in after) is (
        not leave
    )
    return f"{RIBBON} {page.html} {after}"  # that is said of every ribbon of the catalogue


def by_making_it_permanent(place: Place, leave: bool) -> str:
    entry = Input.objects.get()
    differ(
        place.show,
        entry,
        by=place.world.tech,
        decided=FIELDS,
        device=place.new,
        **DAY_WHY,
    )
    with pytest.raises(SwapUndecided):
        make_permanent(place.show, entry, by=place.world.tech, base=3, words="For good.")
    page = Page(
        place.client, place.within("notes:line_check_permanent", place.show, place.world.input)
    )
    typed = {place.key("phantom"): "on", place.key("gain_db"): "40"} if leave else {}
    assert page.send(**typed).status == 302
    return page.html


def by_the_api(place: Place, leave: bool) -> str:
    fields: dict[str, Any] = {"device": str(place.new.pk)}
    edit = {"op": "set", "kind": "input", "part": str(place.world.input.pk), "fields": fields}
    reason = {"kind": "hire", "words": "Ours is in repair."}
    body = {"base": 3, "edits": [edit], "reason": reason}
    url = f"/api/v1/rigs/{place.world.rig.pk}/changes/"
    refused = api(place.world.tech).post(url, body)
    assert (refused.status_code, refused.json()["code"]) == (400, "swap_undecided")
    assert Revision.objects.filter(rig=place.world.rig).count() == 3
    [swap] = refused.json()["swaps"]
    safe = {doubt["field"]: doubt["safe"] for doubt in swap["doubts"]}
    fields |= safe | ({"phantom": True, "gain_db": "40"} if leave else {})
    assert api(place.world.tech).post(url, body).status_code == 201
    return str(refused.json()["detail"])


def by_going_back(place: Place, leave: bool) -> str:
    with pytest.raises(SwapUndecided):
        restore(place.world.rig, 2, author=place.world.tech, reason=HIRE)
    page = Page(place.client, at(place.world, "restore", 2))
    typed = {place.key("phantom"): "on", place.key("gain_db"): "40"} if leave else {}
    assert page.send(**WHY, **typed).status == 302
    return page.html


ON_THE_RIG = [
    by_trial,
    by_a_note,
    by_the_inputs_page,
    by_the_administration,
    by_a_list,
    by_making_it_permanent,
    by_the_api,
    by_going_back,
]
AT_A_SHOW = [by_a_list_for_a_show, by_the_page_of_a_show, by_the_line_check]


def settings_of(place: Place, way: Way) -> tuple[Any, ...]:
    listed = Input.objects.select_related("device", "unit", "rig__player").get()
    entry = row_of(place.show, listed).entry if way in AT_A_SHOW else listed
    assert entry.device == place.new
    return entry.phantom, entry.gain_db, entry.pad_db


@pytest.mark.parametrize("way", [*ON_THE_RIG, *AT_A_SHOW], ids=lambda way: way.__name__)
def test_what_is_offered_first_is_safe(place: Place, way: Way) -> None:
    said = way(place, False)
    assert RIBBON in said
    assert settings_of(place, way) == SAFE


@pytest.mark.parametrize("way", [*ON_THE_RIG, *AT_A_SHOW], ids=lambda way: way.__name__)
def test_whoever_wants_it_otherwise_decides_so(place: Place, way: Way) -> None:
    way(place, True)
    assert settings_of(place, way) == LEFT


# The pad of 10 dB is gone as well: 27.96 − 10 dB is 17.96, to half a dB downwards 17.5.
GONE = (False, Decimal("17.5"), Decimal(0))


@pytest.mark.parametrize("way", ON_THE_RIG, ids=lambda way: way.__name__)
def test_a_pad_of_the_old_ones_own_and_a_ground_lift_do_not_come_along(
    own: Place, way: Way
) -> None:
    assert "is gone with it" in way(own, False)
    assert settings_of(own, way) == GONE
    entry = Input.objects.get()
    assert (entry.ground_lift, entry.pad_at) == (False, "")


@pytest.mark.parametrize("way", AT_A_SHOW, ids=lambda way: way.__name__)
def test_at_a_show_the_pad_is_gone_and_the_ground_lift_is_to_be_minded(
    own: Place, way: Way
) -> None:
    way(own, False)
    assert settings_of(own, way) == (*GONE[:2], None)  # no pad that day
    listed = Input.objects.select_related("device", "unit", "rig__player").get()
    assert any("Ground lift is on" in said for said in row_of(own.show, listed).cautions)


def test_the_gateway_itself_refuses_what_is_not_decided(place: Place) -> None:
    edit = Set(str(place.world.input.pk), "input", {"device": str(place.new.pk)})
    with pytest.raises(SwapUndecided) as refused:
        place.world.record(edit, reason=HIRE)
    [swap] = refused.value.swaps
    assert {doubt.field for doubt in swap.doubts} == {"phantom", "gain_db", "pad_db"}
    # Nothing but the device was open before; a first device of all has no past.
    assert Revision.objects.filter(rig=place.world.rig).count() == 3


def test_the_line_check_says_beforehand_what_it_would_set(place: Place) -> None:
    url = place.within("notes:line_check_input", place.show, place.world.input)
    page = Page(place.client, url).html
    assert "Safe settings for it: phantom power off, pad −10 dB, gain 27.5 dB." in page


def test_the_line_check_says_what_it_has_set(place: Place) -> None:
    said = by_the_line_check(place, False)
    assert "phantom power off, pad −10 dB, preamp gain 27.5 dB." in said


def test_the_line_check_says_that_a_pad_is_gone(own: Place) -> None:
    said = by_the_line_check(own, False)
    assert "Safe settings for it: phantom power off, pad 0 dB, gain 17.5 dB." in said
    assert "for the substitute: phantom power off, pad 0 dB, preamp gain 17.5 dB." in said


def test_what_became_doubtful_while_a_page_was_open_is_asked_again(place: Place) -> None:
    """Somebody takes the gain off record; then the page is sent that had asked nothing of it."""
    place.put(place.old, NO_REASON, gain_db=None, phantom=False, pad_db=None)
    trial = open_a_trial(place.world)
    chosen = heard_alternative(place.world, trial, place.new)
    page = Page(place.client, place.within("notes:trial_choose", chosen))
    place.put(place.old, NO_REASON)
    again = page.send(decision="Body.")
    assert again.status == 200
    assert Input.objects.get().device == place.old
    assert "A safe value is put in." in again.html
