"""Which songs of a show matter for its inputs: those that leave one out or call a scene."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from uuid import UUID

from core.models import Show
from core.sets.order import set_of_show
from rigs.models import SongSetting


@dataclass(frozen=True, slots=True)
class SongsOfShow:
    """Titles in the order of the set: of the songs that leave an input out, by the input, and of
    those that call a scene, by the scene."""

    without: Mapping[UUID, list[str]] = field(default_factory=dict)
    calling: Mapping[UUID, list[str]] = field(default_factory=dict)


def songs_that_matter(show: Show, rigs: Collection[UUID]) -> SongsOfShow:
    """The songs that are played at `show` and what they say of `rigs`. Four queries.

    `show.leg` must be at hand.
    """
    played = {line.song.pk: line.song.title for line in set_of_show(show).played if line.song}
    about = SongSetting.objects.live().filter(rig__in=rigs, song__in=played)
    said = list(about.values_list("song", "what", "input", "scene"))
    without: dict[UUID, list[str]] = defaultdict(list)
    calling: dict[UUID, list[str]] = defaultdict(list)
    for song, title in played.items():
        for each, what, entry, scene in said:
            if each != song:
                continue
            if what == SongSetting.What.INPUT and entry:
                without[entry].append(title)
            elif scene and title not in calling[scene]:
                calling[scene].append(title)
    return SongsOfShow(dict(without), dict(calling))
