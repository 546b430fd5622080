"""Whether there are clips enough of a signed sound, or of one about to be signed, to tell later
what differs from it; in words, with what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from core.places import Panel
from notes.causes.kept import METHOD, as_measured
from notes.causes.scatter import FEWEST, SHORTEST_PIECE_S, Scatter, assumed
from notes.causes.signed import takes_of
from notes.models import ChangeClip, Clip, SignedScatter, SignOff
from rigs.models import Rig

NO_CLIP = (
    "No clip was signed along: what it sounds like on a later night cannot be compared with it. "
    "Choose a clip when it is signed next."
)
_LATE = (
    "What was recorded before the signature counts, too, if it is uploaded later with the time of "
    "its recording."
)


@dataclass(frozen=True, slots=True)
class Enough:
    """Of one signature, or of one input about to be signed: sentences, and whether clips are
    missing."""

    name: str
    is_enough: bool
    sentences: list[str] = field(default_factory=list)


def panel(rig: Rig, sign_offs: Sequence[SignOff]) -> Panel:
    """Two queries, and at most three more for each signature whose scatter is not on record."""
    signed = [each for each in sign_offs if each.decision == SignOff.Decision.SIGNED]
    # One clip is enough for all who signed: what it sounds like can be compared by it.
    heard = [each for each in signed if each.clip is not None] or signed[:1]
    records = _records(heard)
    context = {
        "signed": [of_signature(each, records.get(each.pk)) for each in heard],
        "inputs": list(_before_signing(rig)),
        "fewest": FEWEST,
    }
    return Panel("notes/causes/_enough.html", context)


def _records(sign_offs: Sequence[SignOff]) -> dict[object, SignedScatter]:
    rows = SignedScatter.objects.filter(sign_off__in=sign_offs, method=METHOD)
    return {row.sign_off_id: row for row in rows.order_by("measured_at", "pk")}


def of_signature(sign_off: SignOff, record: SignedScatter | None) -> Enough:
    """From how many clips or pieces its scatter comes, and what that will tell."""
    name, clip = f"{sign_off.get_party_display()}, {sign_off.name}", sign_off.clip
    if clip is None:
        return Enough(name, False, [NO_CLIP])
    if record is not None:
        spread = as_measured(record)[1]
        said = [f"How far takes of “{clip}” scatter is {spread.words}.", told_from(spread)]
        if spread.pieces:
            said.append(f"Pieces scatter less than takes do. {missing(1)} {_LATE}")
        return Enough(name, not spread.pieces, said)
    return _unmeasured(name, clip, len(takes_of(clip, sign_off.at)))


def _unmeasured(name: str, clip: Clip, count: int) -> Enough:
    if count >= FEWEST:
        said = (
            f"{count} clips of it are here. How far they scatter is measured when a later clip is "
            "first compared with it, and is on record from then on."
        )
        return Enough(name, True, [said])
    clips = f"Only “{clip}”" if count == 1 else f"Only {count} clips"
    if float(clip.seconds) >= FEWEST * SHORTEST_PIECE_S:
        stand_in = "Pieces of it stand in for takes, and scatter less than takes do."
    else:
        stand_in = f"How takes scatter is assumed. {told_from(assumed(one_performance=False))}"
    return Enough(name, False, [f"{clips} of it is here. {stand_in}", f"{missing(count)} {_LATE}"])


def told_from(spread: Scatter) -> str:
    """“Between takes a third of an octave differs by 1.3 dB …”. A difference is twice its own
    standard deviation from where it stands out (normal distribution, about 95 %)."""
    band = float(np.median(spread.bands))
    least = max(1.0, 2 * band * np.sqrt(spread.of_differences))
    return (
        f"From take to take a third of an octave moves by {band:.1f} dB, and the level by "
        f"{spread.level:.1f} dB: on another night less than about {least:.0f} dB in a band stays "
        "untold."
    )


def missing(count: int) -> str:
    """What to do where there are `count` clips."""
    more = FEWEST - count
    return (
        f"Record {more} more clip{'s' if more > 1 else ''} of the same input with nothing changed, "
        "as other takes."
    )


def _before_signing(rig: Rig) -> list[Enough]:
    """Of each input of which there are clips of the rig as it is now. One query."""
    before = ChangeClip.objects.filter(side=ChangeClip.When.BEFORE).values("clip")
    clips = Clip.objects.filter(
        rig=rig, revision__number=rig.head_number, retired_at=None, tried_as=None
    ).exclude(pk__in=before)
    counts: dict[str, int] = {}
    for name in clips.order_by("input__position").values_list("input__name", flat=True):
        counts[name] = counts.get(name, 0) + 1
    return [
        Enough(
            name,
            count >= FEWEST,
            [f"{count} clip{'s' if count > 1 else ''} of the rig as it is."]
            + ([] if count >= FEWEST else [missing(count)]),
        )
        for name, count in counts.items()
    ]
