"""What is on record of two captures speaks for a delay that the sound alone leaves open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _

from notes.clips.placement import air_of, stood
from notes.listening.relation import Relation
from notes.models import Clip
from rigs.checks.bench import ASSUMED_CELSIUS, BenchInput
from rigs.checks.paths import Predicted, agree, is_unclear, predicted
from rigs.signal.air import speed_of_sound


def or_assumed(celsius: float | None) -> float:
    """The air in °C to reckon with, where nobody stated it, too."""
    return ASSUMED_CELSIUS if celsius is None else celsius


def by_tape(
    relation: Relation,
    first: BenchInput,
    second: BenchInput,
    celsius: float | None,
    *,
    through_desk: bool = False,
) -> Predicted:
    """What the documented distances say of two recordings that are related so.

    `through_desk`: recorded behind what the desk is set to.
    """
    # Two recorders that were started by hand: what lies between them is no way of the sound.
    if relation.drift_ppm:
        return Predicted(None, _("their clocks run apart, so two recorders recorded them"))
    # Such a delay is in the recording, and the tape measure knows nothing of it.
    if through_desk and any(each.delay or is_unclear(each) for each in (first, second)):
        return Predicted(None, _("it was recorded behind a delay that the desk is set to"))
    return predicted(first, second, float(speed_of_sound(or_assumed(celsius))))


def tape_agrees(relation: Relation, tape: Predicted) -> bool:
    """Whether the tape measure gives the delay that fits best, sure or not."""
    fits_s = relation.likeliest_s
    return fits_s is not None and tape.seconds is not None and agree(fits_s, tape.seconds)


def with_record(
    relation: Relation, first: BenchInput, second: BenchInput, tape: Predicted
) -> Relation:
    """The relation of two recordings with what is on record of the inputs that they are of."""
    # A DI hears nothing else on the stage.
    direct = any(each.device and each.device.is_di for each in (first, second))
    borne_out = not _is_one(first, second) and tape_agrees(relation, tape)
    return replace(relation, direct=direct, borne_out=borne_out)


def with_records(
    relations: Sequence[Relation | None], clips: Sequence[Clip]
) -> list[Relation | None]:
    """How clips of one rig lie against the first of them, with what is on record of each at the
    change that it is of. `relations` are one for each clip, None for the first.

    Four queries; some more, as many for six clips as for two, where rows of theirs are not loaded.
    """
    prefetch_related_objects(clips, "revision", "production__rehearsal_room")
    celsius = air_of(clips[0])
    placed = [each.counts() for each in stood([(clip, clip.revision.number) for clip in clips])]
    return [
        relation
        and with_record(relation, placed[0], entry, by_tape(relation, placed[0], entry, celsius))
        for relation, entry in zip(relations, placed, strict=True)
    ]


def _is_one(first: BenchInput, second: BenchInput) -> bool:
    """Whether one distance is on record for both. Should these be two microphones after all, one of
    them is on record nowhere, and no distance bears anything out."""
    return first.id == second.id and (first.device, first.point, first.distance) == (
        second.device,
        second.point,
        second.distance,
    )
