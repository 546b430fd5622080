"""The index of a recording: its takes in order with the pauses between them, found and corrected.

What a person made or corrected stays as it is when the index is made anew.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from uuid import UUID

from core.sets.order import set_of_production, set_of_show
from notes.models import Clip, Note, Recording, Take
from notes.takes import levels
from notes.takes.find import METHOD as FIND_METHOD
from notes.takes.find import Span, find_takes
from notes.takes.levels import Levels, unpacked
from notes.takes.songs import Heard, SetSong, propose

METHOD = f"{levels.METHOD} {FIND_METHOD}"


@dataclass(frozen=True, slots=True)
class Part:
    """A take of a recording, or a pause, which has no take. From where to where, s."""

    starts_s: Decimal
    ends_s: Decimal
    take: Take | None = None

    @property
    def seconds(self) -> Decimal:
        return self.ends_s - self.starts_s


def takes_of(recording: Recording) -> list[Take]:
    """In order, each with which take of its song it is. One query."""
    return _counted(recording, recording.takes.select_related("song", "by").order_by("starts_s"))


def in_order(recording: Recording) -> list[Take]:
    """As `takes_of`, of a recording with its takes at hand (notes.takes.queries.with_index)."""
    return _counted(recording, recording.takes.all())


def _counted(recording: Recording, rows: Iterable[Take]) -> list[Take]:
    takes = list(rows)
    counts: Counter[UUID | None] = Counter()
    for take in takes:
        # So that no take asks for its recording again.
        take.recording = recording
        counts[take.song_id] += 1
        take.number = counts[take.song_id]
    return takes


def parts_of(recording: Recording, takes: Iterable[Take]) -> list[Part]:
    """Takes and pauses in order; together they are the whole recording."""
    parts, at = [], Decimal(0)
    for take in takes:
        if take.starts_s > at:
            parts.append(Part(at, take.starts_s))
        parts.append(Part(take.starts_s, take.ends_s, take))
        at = take.ends_s
    if at < recording.seconds:
        parts.append(Part(at, recording.seconds))
    return parts


def levels_of(recording: Recording) -> list[Levels]:
    """Of each of its files, in their order. One query."""
    rows = recording.files.values_list("levels", "sound__channels")
    return [unpacked(bytes(packed), channels) for packed, channels in rows]


def make_index(recording: Recording) -> None:
    """Find the takes anew. The caller holds the lock on the recording."""
    # A file that joined may end a little earlier than the recording did until then.
    recording.takes.filter(starts_s__gte=recording.seconds).delete()
    recording.takes.filter(ends_s__gt=recording.seconds).update(ends_s=recording.seconds)
    kept = list(recording.takes.exclude(by=None))
    recording.takes.filter(by=None).delete()
    found = find_takes(levels_of(recording), float(recording.seconds))
    spans = [span for span in found if not any(_meets(span, take) for take in kept)]
    Take.objects.bulk_create(
        Take(recording=recording, starts_s=_rounded(span.starts_s), ends_s=_rounded(span.ends_s))
        for span in spans
    )
    recording.method = METHOD
    recording.save(update_fields=["method"])
    name_songs(recording)


def name_songs(recording: Recording) -> None:
    """Propose the song of each take for which no person said it. Locked as above."""
    takes = list(recording.takes.order_by("starts_s"))
    spans = [Span(float(take.starts_s), float(take.ends_s)) for take in takes]
    proposed = propose(spans, _played(recording), _heard(recording, takes))
    for take, of in zip(takes, proposed, strict=True):
        if take.song_from == Take.SongFrom.PERSON:
            continue
        take.song_id = of.song
        how = Take.SongFrom.NOTE if of.noted else Take.SongFrom.ORDER
        take.song_from = how if of.song is not None else ""
    Take.objects.bulk_update(takes, ["song", "song_from"])


def _meets(span: Span, take: Take) -> bool:
    return span.starts_s < take.ends_s and span.ends_s > take.starts_s


def _rounded(seconds: float) -> Decimal:
    return Decimal(seconds).quantize(Decimal("0.0001"))


def _played(recording: Recording) -> list[SetSong]:
    show = recording.session.show
    found = set_of_show(show) if show is not None else set_of_production(recording.production)
    return [SetSong(line.song.pk, line.seconds) for line in found.played if line.song is not None]


def _heard(recording: Recording, takes: Sequence[Take]) -> list[Heard]:
    """What people said of takes, notes of the session and clips recorded then, with a song."""
    said = [
        Heard(float(take.starts_s), take.song_id)
        for take in takes
        if take.song_from == Take.SongFrom.PERSON and take.song_id
    ]
    began = recording.began_at
    if began is None:
        return said
    ended = began + timedelta(seconds=float(recording.seconds) + 600)
    of_session = {"session": recording.session, "song__isnull": False}
    notes = Note.objects.filter(**of_session, written_at__range=(began, ended))
    clips = Clip.objects.filter(**of_session, recorded_at__range=(began, ended))
    moments = [
        *notes.values_list("written_at", "song"),
        *clips.values_list("recorded_at", "song"),
    ]
    return said + [Heard((at - began).total_seconds(), song) for at, song in moments if at and song]
