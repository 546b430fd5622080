"""Tie clips to changes and to alternatives of trials, and fetch them for pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Prefetch, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _

from core.models import Production, User
from notes.comparing.sides import FEWEST, MOST
from notes.models import Alternative, AlternativeClip, ChangeClip, Clip
from rigs.models import Input, Revision, Rig

# Of clips to one change, or to one alternative, there are no more than can be compared.


def clips_of(production: Production) -> QuerySet[Clip]:
    """Clips with what a line about one shows, and what is on record of one beside others."""
    return Clip.objects.filter(production=production).select_related(
        "sound",
        "input",
        "rig__player",
        "revision",
        "production__rehearsal_room",
        "song",
        "section",
        "tried_as__alternative__device",
        "note__rig__player",
        "note__said_by_player",
        "note__written_by",
    )


def to_choose_from(rig: Rig, input: Input | None = None) -> QuerySet[Clip]:
    """Clips in use of a rig, or of one of its inputs, newest first."""
    clips = Clip.objects.filter(rig=rig, retired_at=None).select_related("input")
    return clips.filter(input=input) if input else clips


def heard_for_changes() -> Prefetch[str]:
    """Prefetch `heard` of revisions, with each clip."""
    return Prefetch("heard", ChangeClip.objects.select_related("clip"))


@dataclass(frozen=True, slots=True)
class HeardClips:
    """Clips tied to something, as a page shows them, and where they can be heard side by side."""

    tied: list[ChangeClip] | list[AlternativeClip]
    compare_url: str = ""


def heard_of(revision: Revision) -> HeardClips:
    """The clips of a change, before and then after. No query where `heard` was prefetched."""
    tied = sorted(revision.heard.all(), key=lambda each: each.side != ChangeClip.When.BEFORE)
    return HeardClips(tied, compare_url([each.clip for each in tied]))


def compare_url(clips: Sequence[Clip]) -> str:
    """The address that plays the clips of the first input with two or more; empty if none has."""
    of_input: dict[UUID, list[Clip]] = {}
    for clip in clips:
        of_input.setdefault(clip.input_id, []).append(clip)
    for group in of_input.values():
        if len(group) >= FEWEST:
            asked = urlencode({"clip": [str(clip.pk) for clip in group[:MOST]]}, doseq=True)
            return f"{reverse('notes:compare', args=[group[0].production_id])}?{asked}"
    return ""


@transaction.atomic
def tie_to_change(*, revision: Revision, clip: Clip, side: str, by: User) -> ChangeClip:
    """Tie a clip to a change, as of before or after it; tied again, it moves to the other side.

    Raises ValidationError by field.
    """
    if clip.rig_id != revision.rig_id:
        raise ValidationError({"clip": _("This clip is of another rig.")})
    if side not in ChangeClip.When.values:
        raise ValidationError({"side": _("Say whether it is from before the change or after it.")})
    # Whoever ties at the same moment waits here, so that the count below stays true.
    Revision.objects.select_for_update(no_key=True).get(pk=revision.pk)
    others = ChangeClip.objects.filter(revision=revision).exclude(clip=clip)
    if others.count() >= MOST:
        raise ValidationError(
            {"clip": _("A change carries {most} clips at most.").format(most=MOST)}
        )
    # Whoever tied it first stays on record when it is moved.
    made, _new = ChangeClip.objects.update_or_create(
        revision=revision,
        clip=clip,
        defaults={"side": side},
        create_defaults={
            "side": side,
            "tied_by": by,
        },
    )
    return made


@transaction.atomic
def tie_to_alternative(*, alternative: Alternative, clip: Clip, by: User) -> AlternativeClip:
    """Tie a clip to an alternative. A clip is of one alternative; tied again, it moves.

    Raises ValidationError by field.
    """
    # Of the input and not merely of the rig: alternatives differ in how this one input is picked
    # up.
    if clip.input_id != alternative.trial.input_id:
        raise ValidationError({"clip": _("This clip is of another input.")})
    Alternative.objects.select_for_update(no_key=True).get(pk=alternative.pk)
    others = AlternativeClip.objects.filter(alternative=alternative).exclude(clip=clip)
    if others.count() >= MOST:
        raise ValidationError(
            {"clip": _("An alternative carries {most} clips at most.").format(most=MOST)}
        )
    made, _new = AlternativeClip.objects.update_or_create(
        clip=clip,
        defaults={"alternative": alternative},
        create_defaults={"alternative": alternative, "tied_by": by},
    )
    return made
