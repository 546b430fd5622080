"""A rehearsal recorded from one end to the other, and what was said of its takes: a short one, so
that the demonstration stays small."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import soundfile
from django.conf import settings
from django.core.exceptions import ValidationError
from numpy.typing import NDArray

from notes.demo.apply import apply, input_of
from notes.demo.cast import ENGINEER
from notes.demo.sounds import BASS, LOW_WATER, MICROPHONES, RATE, WEIR, Line, picked_up, played
from notes.demo.stage import DemoStage
from notes.demo.story import at
from notes.models import ListeningSession, Take
from notes.takes.forms import TakeForm
from notes.takes.index import takes_of
from notes.takes.services import Brought, Wanted, bring, cut_clip

_SLOW = 6  # a sixth of the rate: 8 kHz are enough for a bass to be found
_THROUGH = ("direct", "ribbon")


@dataclass(frozen=True)
class RecordedWhole:
    """A session's recording. `played`: for how long each phrase goes on, s, with the pause after
    it; it begins with a pause."""

    when: datetime
    began_at: datetime
    session: str
    name: str
    played: tuple[tuple[Line, float, float], ...]
    # What the engineer says of the first take: its song, and what it was.
    first_song: str
    first_name: str
    cut: tuple[str, str, float, float]  # rig, input, from where to where in the second take


EVENTS: tuple[RecordedWhole, ...] = (
    RecordedWhole(
        at(11, 18, 12, 50),
        at(11, 18, 11) - timedelta(seconds=40),
        "Winter rehearsal",
        "Wednesday, from the desk",
        ((LOW_WATER, 20, 9), (WEIR, 26, 12), (WEIR, 17, 6)),
        "Alder Ebb",
        "warming up",
        ("Bass main", "Bass mic", 3, 9),
    ),
)


@apply.register
def _(event: RecordedWhole, stage: DemoStage) -> None:
    by = stage.people[ENGINEER]
    session = ListeningSession.objects.get(production=stage.production, name=event.session)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "rehearsal.flac"
        soundfile.write(path, _heard(event), RATE // _SLOW, subtype="PCM_16")
        recording = bring(
            Brought(
                path=path,
                file_name="desk 1 to 2.flac",
                session=session,
                name=event.name,
                began_at=event.began_at,
            ),
            by=by,
            most_bytes=None,
            within_s=settings.CLIP_WORK_SECONDS,
        )
    first, second = takes_of(recording)[:2]
    _say(first, stage, event)
    rig, input_name, starts, ends = event.cut
    wanted = Wanted(
        input=input_of(stage, rig, input_name),
        sound=recording.files.select_related("sound").get().sound,
        channel=_THROUGH.index("ribbon") + 1,
        from_s=Decimal(starts),
        to_s=Decimal(ends),
    )
    cut_clip(second, wanted, by=by)


def _say(take: Take, stage: DemoStage, event: RecordedWhole) -> None:
    """What the engineer types into the form of the take."""
    shown = TakeForm(instance=take)
    typed = {name: shown.get_initial_for_field(field, name) for name, field in shown.fields.items()}
    typed |= {"song": str(stage.songs[event.first_song].pk), "name": event.first_name}
    form = TakeForm(typed, instance=take, by=stage.people[ENGINEER])
    if not form.try_save():
        raise ValidationError(str(form.errors))


def _heard(event: RecordedWhole) -> NDArray[np.float64]:
    """Both channels; in the pauses somebody tunes now and then, faintly."""
    tuning = played(BASS, ((0, 2.0),), 9, 72) * 0.03
    parts = [_lasting(tuning, 8)]
    for number, (line, seconds, pause) in enumerate(event.played):
        phrase = played(BASS, line, number + 11, 72)
        parts += [_lasting(phrase, seconds), _lasting(tuning, pause)]
    whole = np.concatenate(parts)
    channels = [picked_up(whole, MICROPHONES[name], name) for name in _THROUGH]
    length = min(map(len, channels)) // _SLOW * _SLOW
    slow = [each[:length].reshape(-1, _SLOW).mean(axis=1) for each in channels]
    return np.stack(slow, axis=1)


def _lasting(sound: NDArray[np.float64], seconds: float) -> NDArray[np.float64]:
    return np.resize(sound, round(seconds * RATE))
