"""What stands in the card of a show is made once, and anew once something is written."""

from __future__ import annotations

from django.test import override_settings

from core.models import User
from tests.rigs.shows.shows import make_show
from tests.rigs.whatif.test_leg_air import make_room
from tests.support.pages import as_user, at, queries_of
from tests.support.world import World

MANY = 30  # queries of what apps know of a show; many more than what is kept takes


@override_settings(KEPT_CHECKED=False)
def test_the_lines_of_a_show_are_kept_until_something_is_written(world: World) -> None:
    show = make_show(world, mains_volts=120)
    url, client = at(world, "core:leg", show.leg_id), as_user(world.engineer)
    assert queries_of(client, url) > MANY
    assert queries_of(client, url) < MANY / 3
    assert "the house has 120 V" in client.get(url).content.decode()
    show.mains_volts = 230
    show.save()
    assert "the house has 230 V" in client.get(url).content.decode()


@override_settings(KEPT_CHECKED=False)
def test_each_reads_them_in_their_own_scale_and_language(world: World) -> None:
    """t/°F = 9/5 t/°C + 32 (NIST SP 811, B.8, from memory): −25 °C are −13 °F."""
    make_room(world)
    air = {"temperature_c": "-25", "humidity_pct": "30", "mix_distance_m": "40"}
    url = at(world, "core:leg", make_show(world, **air).leg_id)
    client = as_user(world.engineer)
    assert "−25 °C lies outside" in client.get(url).content.decode()
    User.objects.filter(pk=world.engineer.pk).update(temperature_scale="F")
    assert "−13 °F lies outside" in client.get(url).content.decode()
    User.objects.filter(pk=world.engineer.pk).update(language="de")
    assert "Backline<span" in client.get(url).content.decode()
    assert "lies outside" not in client.get(url).content.decode()
