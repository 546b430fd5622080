"""The run sheet: the set in order, and what each rig needs for each song and on the way to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from core.models import Player, Production, Show, Song
from core.services.research import by_song, research_of
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
from rigs.models import Rig
from rigs.shows.rigs import played_at
from rigs.songs.records import Record, heard_by_player, records_of
from rigs.songs.services import of_song, rigs_in_use, set_views_of
from rigs.wording import ControlView, DifferenceView, RigView, SongView
from rigs.wording.songs import control_at


@dataclass(frozen=True, slots=True)
class RunControl:
    """A control as it stands in the song; `control.changed` where it moved since the last one."""

    unit_name: str
    control: ControlView
    usual: bool  # it goes back to where it usually stands


@dataclass(frozen=True, slots=True)
class RunPart:
    """What one rig does in one song."""

    rig: Rig
    instrument: str = ""
    tuning: str = ""
    takes_up: str = ""  # “change” or “retune” since the song before; empty for neither
    controls: tuple[RunControl, ...] = ()
    inputs_off: tuple[str, ...] = ()
    inputs_on: tuple[str, ...] = ()  # used again, after a song that did not
    cues: tuple[DifferenceView, ...] = ()

    @property
    def has_work(self) -> bool:
        return bool(
            self.takes_up or self.controls or self.inputs_off or self.inputs_on or self.cues
        )


@dataclass(frozen=True, slots=True)
class RunSong:
    """A song of the run sheet; `moves` are what rigs have to do before the next one."""

    song: Song
    number: int
    parts: tuple[RunPart, ...] = ()
    moves: tuple[tuple[Rig, Move], ...] = ()
    records: tuple[Record, ...] = ()  # what they do in this song
    is_last: bool = False


@dataclass(frozen=True, slots=True)
class RunSheet:
    songs: tuple[RunSong, ...]
    times: ChangeSeconds
    stated: bool  # whether the crew has stated them, or they are assumed
    rigs: tuple[Rig, ...] = ()
    seconds: int = 0  # of lengths and gaps, as far as they are known
    whole: bool = False  # whether all of them are
    warnings: tuple[tuple[Rig, Move], ...] = field(default=())


def run_sheet(
    production: Production, player: Player | None = None, show: Show | None = None
) -> RunSheet:
    """The run sheet of all rigs on stage, of those of one player, or of those that play at a show.

    It has what records do in each song beside the signed words. At most fifteen queries, with a
    show seventeen, however long the set is; `show.leg` must be at hand.
    """
    rigs = [r for r in rigs_in_use(production) if player is None or r.player_id == player.pk]
    if show is not None:
        playing = played_at([show])[show.pk]
        rigs = [rig for rig in rigs if rig.pk in playing]
    sheet = of_set(production, set_views_of(rigs), everything=player is not None)
    # What concerns everybody is on the sheet of each player, too.
    research = [r for r in research_of(production) if player is None or r.player in (None, player)]
    noted, heard = by_song(research), heard_by_player(rigs) if research else {}
    rows = (replace(r, records=records_of(noted.get(r.song.pk, ()), heard)) for r in sheet.songs)
    return replace(sheet, songs=tuple(rows))


def of_set(
    production: Production, views: Mapping[Rig, RigView], *, everything: bool = False
) -> RunSheet:
    """The run sheet of the set for the rigs in `views`.

    With `everything`, a rig is shown also in songs for which it has nothing to do.
    """
    songs = live_songs(production)
    stated = times_of([production.pk]).get(production.pk)
    times = stated or ASSUMED
    parts = {rig: _parts(rig, view, songs) for rig, view in views.items()}
    leading = {rig: rig_moves(view, songs, times) for rig, view in views.items()}
    rows = tuple(
        RunSong(
            song,
            at + 1,
            tuple(parts[rig][at] for rig in views if everything or parts[rig][at].has_work),
            tuple((rig, m[at]) for rig, m in leading.items() if at < len(m) and m[at].needs),
            is_last=at == len(songs) - 1,
        )
        for at, song in enumerate(songs)
    )
    # The gap after the last song is no part of the set.
    lasting = [song.length_s for song in songs] + [song.gap_s for song in songs[:-1]]
    known = [seconds for seconds in lasting if seconds is not None]
    return RunSheet(
        rows,
        times,
        stated is not None,
        tuple(views),
        sum(known),
        len(known) == len(lasting),
        tuple(pair for row in rows for pair in row.moves if pair[1].fit == Fit.SHORT),
    )


def live_songs(production: Production) -> list[Song]:
    """The set, in order. One query."""
    songs = production.songs.filter(retired_at=None)
    return list(songs.order_by("position", "title", "pk"))


def rig_moves(view: RigView, songs: Sequence[Song], times: ChangeSeconds) -> tuple[Move, ...]:
    held = [PlayedInstrument(u.id, u.name, u.gear, u.tuning) for u in view.units]
    return moves([_piece(view, song) for song in songs], held, times)


def _piece(view: RigView, song: Song) -> Piece:
    view_of_song = of_song(view, str(song.pk))
    played = view_of_song.instrument.about if view_of_song and view_of_song.instrument else ""
    tunings = {each.about: each.text for each in view_of_song.tunings} if view_of_song else {}
    return Piece(str(song.pk), song.title, song.length_s, song.gap_s, played, tunings)


def _parts(rig: Rig, view: RigView, songs: Sequence[Song]) -> list[RunPart]:
    """The rig in each song of the set, each told against the song before."""
    parts: list[RunPart] = []
    before, held = SongView("", "", 0), _held(view, None)
    for song in songs:
        song_view = of_song(view, str(song.pk)) or SongView(str(song.pk), song.title, song.position)
        now = _held(view, song_view)
        off, was_off = ({i.name for i in each.inputs_off} for each in (song_view, before))
        parts.append(
            RunPart(
                rig,
                *now,
                _takes_up(held, now),
                tuple(_controls(view, before, song_view)),
                tuple(i.name for i in song_view.inputs_off),
                tuple(sorted(was_off - off)),
                song_view.cues,
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


def _controls(view: RigView, before: SongView, now: SongView) -> list[RunControl]:
    """The controls that the song sets, and those that go back to where they usually stand."""
    was = {each.about: _setting(each) for each in before.controls}
    to = {each.about: _setting(each) for each in now.controls}
    controls = []
    for unit in view.units:
        for usual in unit.controls:
            if usual.id not in was and usual.id not in to:
                continue
            earlier = control_at(usual, was.get(usual.id, usual.setting))
            setting = to.get(usual.id, usual.setting)
            shown = control_at(usual, setting, earlier)
            # It stays where it was: told only where this song asks for it, and not as a move.
            if setting == earlier.setting:
                shown = replace(shown, changed=False, was=None, was_text="")
                if usual.id not in to:
                    continue
            controls.append(RunControl(unit.name, shown, usual.id not in to))
    return controls


def _setting(each: DifferenceView) -> str:
    return each.control.setting if each.control else each.text
