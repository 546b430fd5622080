"""Small photos in a handover: of the rig beside its name, of each unit beside it."""

from __future__ import annotations

import re

from notes.handover.publish import publish
from notes.models import PublishedHandover
from rigs.models import Photo
from tests.notes.handover.support import legs
from tests.rigs.photos.pinning import add_photo
from tests.support.pages import as_user, at
from tests.support.world import World


def _html(world: World, query: str, published: PublishedHandover | None = None) -> str:
    autumn = world.production.legs.get(name="Autumn")
    url = at(world, "notes:handover", autumn.pk)
    if published is not None:
        url = at(world, "notes:published", published.pk)
    return as_user(world.people["crew"]).get(f"{url}{query}").content.decode()


def _thumbs(html: str, kind: str) -> list[str]:
    """The pictures of that kind, each with its words."""
    return re.findall(rf'class="thumb {kind}"[^>]*><img\s+src="([^"]+)" alt="[^"]+"', html)


def _address(photo: Photo) -> str:
    return f"photos/{photo.pk}/file/?size=thumb&amp;v={photo.image_id}"


def test_the_ten_minutes_have_the_photo_of_the_rig_beside_its_name(world: World) -> None:
    legs(world)
    assert not _thumbs(_html(world, ""), "sheet-thumb")
    of_unit = add_photo(world, "The back", about=world.unit.pk)
    (thumb,) = _thumbs(_html(world, ""), "sheet-thumb")
    assert thumb.endswith(_address(of_unit))
    of_rig = add_photo(world, "All of it", colour="teal")
    (thumb,) = _thumbs(_html(world, ""), "sheet-thumb")
    assert thumb.endswith(_address(of_rig))
    assert not _thumbs(_html(world, ""), "unit-thumb")


def test_the_whole_has_the_photo_of_each_unit_beside_it(world: World) -> None:
    autumn, _ = legs(world)
    photo = add_photo(world, "The back", about=world.unit.pk)
    add_photo(world, "All of it", colour="teal")
    published = publish(leg=autumn, by=world.engineer)
    for html in (_html(world, "?long"), _html(world, "?long", published)):
        (thumb,) = _thumbs(html, "unit-thumb")
        assert thumb.endswith(_address(photo))
        assert not _thumbs(html, "sheet-thumb")
    assert _thumbs(_html(world, "", published), "sheet-thumb")


def test_a_photo_that_came_later_is_not_beside_what_was_published(world: World) -> None:
    autumn, _ = legs(world)
    published = publish(leg=autumn, by=world.engineer)
    add_photo(world, "The back", about=world.unit.pk)
    assert not _thumbs(_html(world, "", published), "sheet-thumb")
    assert not _thumbs(_html(world, "?long", published), "unit-thumb")
