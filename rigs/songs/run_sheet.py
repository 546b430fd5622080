"""The run sheet: the set in order, and what each rig needs for each song and on the way to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from django.utils.translation import gettext as _

from core.models import Player, Production, Show, Song
from core.services.research import by_song, research_of
from core.sets.order import SetLine, SetOfShow, set_of_production, set_of_show
from rigs.changes.played import Played
from rigs.checks.between_songs import (
    ASSUMED,
    ChangeSeconds,
    Fit,
    Move,
    Piece,
    PlayedInstrument,
    moves,
    usual_of,
)
from rigs.checks.load import times_of
from rigs.checks.stage import ChangesOfSet
from rigs.models import Rig, SongSetting
from rigs.shows.players import WhoPlays, who_plays
from rigs.songs.presses import RunControl, RunScene, by_hand, run_scenes
from rigs.songs.records import Record, heard_by_player, records_of
from rigs.songs.services import of_song, rigs_in_use, set_views_at, set_views_of
from rigs.tonight.at_show import UnitTonight
from rigs.wording import DifferenceView, RigView, SongView


@dataclass(frozen=True, slots=True)
class RunPart:
    """What one rig does in one song."""

    rig: Rig
    instrument: str = ""
    tuning: str = ""
    takes_up: str = ""  # “change” or “retune” since the song before; empty for neither
    scenes: tuple[RunScene, ...] = ()
    controls: tuple[RunControl, ...] = ()  # set by hand
    inputs_off: tuple[str, ...] = ()
    inputs_on: tuple[str, ...] = ()  # used again, after a song that did not
    cues: tuple[DifferenceView, ...] = ()
    messages: tuple[DifferenceView, ...] = ()  # MIDI sent as the song begins

    @property
    def has_work(self) -> bool:
        pressed = any(scene.has_work for scene in self.scenes)
        by_hand = self.takes_up or self.controls or self.inputs_off or self.inputs_on
        return bool(pressed or by_hand or self.cues or self.messages)


@dataclass(frozen=True, slots=True)
class RunSong:
    """A song of the run sheet; `moves` are what rigs have to do before the next one.

    `line` is its place in the set: a song may stand there again as a reprise.
    """

    song: Song
    number: int
    line: SetLine
    before: tuple[SetLine, ...] = ()  # what stands between the song before and this one
    parts: tuple[RunPart, ...] = ()
    moves: tuple[tuple[Rig, Move], ...] = ()
    records: tuple[Record, ...] = ()  # what they do in this song
    is_last: bool = False

    @property
    def for_whom(self) -> str:
        """Whom its records concern, in words."""
        return _(", ").join(str(each.player or _("everybody")) for each in self.records)


@dataclass(frozen=True, slots=True)
class RunSheet:
    songs: tuple[RunSong, ...]
    times: ChangeSeconds
    stated: bool  # whether the crew has stated them, or they are assumed
    rigs: tuple[Rig, ...] = ()
    seconds: int = 0  # of lengths and gaps, as far as they are known
    whole: bool = False  # whether all of them are
    warnings: tuple[tuple[Rig, Move], ...] = field(default=())
    set: SetOfShow = SetOfShow(())
    after: tuple[SetLine, ...] = ()  # what stands behind the last song
    gear: tuple[UnitTonight, ...] = ()  # the units that differ at the show
    who: WhoPlays | None = None  # at the show, as far as the sheet is of them


def run_sheet(
    production: Production, player: Player | None = None, show: Show | None = None
) -> RunSheet:
    """The run sheet of all rigs on stage, of those of one player, or of those that play at a show.

    With a show it follows the set and the gear of that show, else the songs of the production in
    order. It has what records do in each song beside the signed words. At most seventeen queries,
    with a show twenty-six, however long the set is; `show.leg` must be at hand.
    """
    who = who_plays(show) if show is not None else None
    rigs = [
        rig
        for rig in (rigs_in_use(production) if who is None else who.rigs_in_order)
        if player is None or rig.player_id == player.pk
    ]
    if show is not None:
        found, (views, gear) = set_of_show(show), set_views_at(show, rigs)
    else:
        found, views, gear = set_of_production(production), set_views_of(rigs), []
    sheet = of_set(production, found, views, everything=player is not None)
    # What concerns everybody is on the sheet of each player, too.
    research = [r for r in research_of(production) if player is None or r.player in (None, player)]
    noted, heard = by_song(research), heard_by_player(rigs) if research else {}
    rows = (replace(r, records=records_of(noted.get(r.song.pk, ()), heard)) for r in sheet.songs)
    own = who.only(player) if who is not None else None
    return replace(sheet, songs=tuple(rows), gear=tuple(gear), who=own)


def of_set(
    production: Production,
    found: SetOfShow,
    views: Mapping[Rig, RigView],
    *,
    everything: bool = False,
) -> RunSheet:
    """The run sheet of a set for the rigs in `views`.

    With `everything`, a rig is shown also in songs for which it has nothing to do.
    """
    lines = found.played
    songs = [line.song for line in lines if line.song is not None]
    stated = times_of([production.pk]).get(production.pk)
    times = stated or ASSUMED
    parts = {rig: _parts(rig, view, songs) for rig, view in views.items()}
    leading = {rig: rig_moves(view, lines, times) for rig, view in views.items()}
    between = _between(found)
    rows = tuple(
        RunSong(
            song,
            at + 1,
            lines[at],
            between[at],
            tuple(parts[rig][at] for rig in views if everything or parts[rig][at].has_work),
            tuple((rig, m[at]) for rig, m in leading.items() if at < len(m) and m[at].needs),
            is_last=at == len(songs) - 1,
        )
        for at, song in enumerate(songs)
    )
    return RunSheet(
        rows,
        times,
        stated is not None,
        tuple(views),
        found.seconds,
        found.is_whole,
        tuple(pair for row in rows for pair in row.moves if pair[1].fit == Fit.SHORT),
        found,
        between[-1],
    )


def _between(found: SetOfShow) -> list[tuple[SetLine, ...]]:
    """What stands before each song that is played, and at last what stands behind all of them."""
    between: list[tuple[SetLine, ...]] = [()]
    for line in found.lines:
        if line.is_played:
            between.append(())
        else:
            between[-1] += (line,)
    return between


def rig_moves(view: RigView, lines: Sequence[SetLine], times: ChangeSeconds) -> tuple[Move, ...]:
    """What the rig needs between the songs of `lines`; the pieces go by the ids of the lines."""
    held = [PlayedInstrument(u.id, u.name, u.gear, u.tuning) for u in view.units]
    pieces = [_piece(view, line, line.song) for line in lines if line.song is not None]
    return moves(pieces, held, times)


def changes_at(show: Show, rigs: Sequence[Rig]) -> ChangesOfSet:
    """What `rigs` have to do between the songs of the show's set, with that day's gear.

    One query where no song changes anything on them, twenty at most; `show.leg` must be at hand.
    """
    changing = set(SongSetting.objects.live().filter(rig__in=rigs).values_list("rig", flat=True))
    if not changing:
        return ChangesOfSet({})
    views = set_views_at(show, [rig for rig in rigs if rig.pk in changing]).views
    lines, production = set_of_show(show).played, show.leg.production_id
    times = times_of([production]).get(production, ASSUMED)
    moves_of = {str(rig.pk): rig_moves(view, lines, times) for rig, view in views.items()}
    return ChangesOfSet(moves_of, times)


def _piece(view: RigView, line: SetLine, song: Song) -> Piece:
    view_of_song = of_song(view, str(song.pk))
    played = view_of_song.instrument.about if view_of_song and view_of_song.instrument else ""
    tunings = {each.about: each.text for each in view_of_song.tunings} if view_of_song else {}
    return Piece(
        str(line.id),
        song.title,
        line.seconds,
        line.gap_s,
        played,
        tunings,
        _scenes(view, view_of_song.begins) if view_of_song else {},
        _scenes(view, view_of_song.ends) if view_of_song else {},
    )


def _scenes(view: RigView, played: Played) -> dict[str, str]:
    """The scene that units stand in, by number and name, by the name of the unit."""
    found = ((view.unit(unit), view.scene(scene)) for unit, scene in played.scenes.items())
    return {unit.name: scene.label for unit, scene in found if unit and scene}


def _parts(rig: Rig, view: RigView, songs: Sequence[Song]) -> list[RunPart]:
    """The rig in each song of the set, each told against the song before."""
    parts: list[RunPart] = []
    as_usual = view.played()
    before = SongView("", "", 0, begins=as_usual, ends=as_usual)
    held = _held(view, None)
    for song in songs:
        song_view = of_song(view, str(song.pk)) or SongView(
            str(song.pk), song.title, song.position, begins=as_usual, ends=as_usual
        )
        now = _held(view, song_view)
        off, was_off = ({i.name for i in each.inputs_off} for each in (song_view, before))
        parts.append(
            RunPart(
                rig,
                *now,
                _takes_up(held, now),
                tuple(run_scenes(view, before.ends, song_view.begins)),
                tuple(by_hand(view, before.ends, song_view.begins)),
                tuple(i.name for i in song_view.inputs_off),
                tuple(sorted(was_off - off)),
                song_view.cues,
                song_view.messages,
            )
        )
        before, held = song_view, now
    return parts


def _takes_up(before: tuple[str, str], now: tuple[str, str]) -> str:
    if before == now:
        return ""
    return "retune" if before[0] == now[0] else "change"


def _held(view: RigView, song_view: SongView | None) -> tuple[str, str]:
    """The name and tuning of the instrument played; empty texts for a rig without one."""
    usual = usual_of(PlayedInstrument(u.id, u.name, u.gear, u.tuning) for u in view.units)
    chosen = (
        song_view.instrument.about
        if song_view and song_view.instrument
        else usual.id
        if usual
        else ""
    )
    unit = view.unit(chosen)
    if unit is None:
        return "", ""
    tunings = {each.about: each.text for each in song_view.tunings} if song_view else {}
    return unit.name, tunings.get(unit.id, unit.tuning)
