"""Which songs of a show matter for its inputs: those that leave one out or call a scene."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from uuid import UUID

from core.composed import Composed, Several, column
from core.models import Show, Song
from core.sets.order import set_of_show
from rigs.models import Rig, SongSetting


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
    said = [(s.song_id, s.what, s.input_id, s.scene_id) for s in _settings(rigs, played)]
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


_settings = Composed(
    lambda rigs, songs: SongSetting.objects.live().filter(
        rig__pk__among=rigs, song__pk__among=songs
    ),
    Several(column(Rig)),
    Several(column(Song)),
)
