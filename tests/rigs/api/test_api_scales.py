"""The scale of a whole unit over the API. Values by hand, as in test_scale_page."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from core.models import Song
from rigs.changes.edits import Add, Set
from rigs.models import Control, SongSetting
from tests.support.api import api
from tests.support.world import World


@pytest.fixture
def loud(world: World) -> World:
    """Gain 2:30, and bass 10:00, which a song has at 11:00."""
    bass, song = str(uuid4()), Song.objects.create(production=world.production, title="Lantern")
    own = {"unit": str(world.unit.pk), "name": "Bass", "setting": "10:00", "position": 2}
    world.record(
        Set(str(world.control.pk), "control", {"setting": "2:30"}),
        Add(bass, "control", own),
        Add(
            str(uuid4()), "song_setting", {"song": str(song.pk), "control": bass, "value": "11:00"}
        ),
    )
    return world


def send(world: World, *, by: Any = None, **sent: Any) -> Any:
    url = f"/api/v1/rigs/{world.rig.pk}/units/{world.unit.pk}/scale/"
    world.rig.refresh_from_db()
    return api(by or world.tech).post(
        url, {"base": world.rig.head_number, "to": "numbers", "keep": "pointer"} | sent
    )


def standing() -> dict[str, tuple[str, str]]:
    return {c.name: (c.style, c.setting) for c in Control.objects.all()}


def test_the_pointers_stay_in_songs_too(loud: World) -> None:
    answer = send(loud)
    assert answer.status_code == 201
    assert standing() == {"Gain": ("dial", "7.5"), "Bass": ("dial", "3")}
    assert SongSetting.objects.get().value == "4"
    gain = Control.objects.get(name="Gain")
    assert (gain.low, gain.high) == (Decimal(0), Decimal(10))
    back = send(loud, to="clock")
    assert back.status_code == 201
    assert standing() == {"Gain": ("clock", "2:30"), "Bass": ("clock", "10:00")}


def test_a_figure_that_is_not_on_the_new_scale_is_asked_for(loud: World) -> None:
    answer = send(loud, keep="figure")
    assert answer.status_code == 400
    told = answer.json()
    assert told["code"] == "settings_undecided"
    (open_one,) = told["settings"]
    assert (open_one["name"], open_one["said_in"], open_one["now"]) == (
        "Bass",
        "“Lantern”",
        "11:00",
    )
    assert standing()["Gain"] == ("clock", "2:30")
    assert send(loud, keep="figure", settings={open_one["part"]: "12"}).status_code == 400
    answer = send(loud, keep="figure", settings={open_one["part"]: "9.5"})
    assert answer.status_code == 201
    assert standing() == {"Gain": ("dial", "2.3"), "Bass": ("dial", "10")}
    assert SongSetting.objects.get().value == "9.5"


def test_an_old_base_is_a_conflict_where_somebody_turned_a_dial(loud: World) -> None:
    loud.record(Set(str(loud.control.pk), "control", {"setting": "4:00"}))
    answer = send(loud, base=loud.rig.head_number - 1)
    assert (answer.status_code, answer.json()["code"]) == (409, "conflict")
    assert standing()["Bass"] == ("clock", "10:00")


def test_a_scale_that_runs_backwards_and_a_reader_are_refused(loud: World) -> None:
    answer = send(loud, low="10", high="0")
    assert (answer.status_code, list(answer.json()["fields"])) == (400, ["high"])
    assert send(loud, by=loud.people["player"]).status_code == 403
    assert standing()["Gain"] == ("clock", "2:30")
