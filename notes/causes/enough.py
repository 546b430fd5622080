"""Whether there are clips enough of a signed sound, or of one about to be signed, to tell later
what differs from it; in words, with what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core import clock
from core.languages.words import number
from core.places import Panel
from notes.causes.kept import METHOD, as_measured
from notes.causes.scatter import FEWEST, SHORTEST_PIECE_S, Scatter, assumed
from notes.causes.signed import takes_of
from notes.models import ChangeClip, Clip, SignedScatter, SignOff
from rigs.models import Rig

NO_CLIP = gettext_lazy(
    "No clip was signed along: what it sounds like on a later night cannot be compared with it. "
    "Choose a clip when it is signed next."
)
NO_CLIP_YET = gettext_lazy(
    "No clip goes with it: what it sounds like on a later night could not be compared with what "
    "you sign. If you want that, ask for a link with a clip."
)
_LATE = gettext_lazy(
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


def before_signing(clip: Clip | None) -> Panel:
    """For the player who is asked to sign, with `clip` or without one. At most two queries."""
    if clip is None:
        found = Enough("", False, [str(NO_CLIP_YET)])
    else:
        found = _unmeasured("", clip, len(takes_of(clip, clock.now())))
    return Panel("notes/causes/_enough_to_sign.html", {"found": found})


def _records(sign_offs: Sequence[SignOff]) -> dict[object, SignedScatter]:
    rows = SignedScatter.objects.filter(sign_off__in=sign_offs, method=METHOD)
    return {row.sign_off_id: row for row in rows.order_by("measured_at", "pk")}


def of_signature(sign_off: SignOff, record: SignedScatter | None) -> Enough:
    """From how many clips or pieces its scatter comes, and what that will tell."""
    name, clip = f"{sign_off.get_party_display()}, {sign_off.name}", sign_off.clip
    if clip is None:
        return Enough(name, False, [str(NO_CLIP)])
    if record is not None:
        spread = as_measured(record)[1]
        said = [_known_by(clip, spread), told_from(spread)]
        if spread.pieces:
            said += [_("Pieces scatter less than takes do."), missing(1), str(_LATE)]
        return Enough(name, not spread.pieces, said)
    return _unmeasured(name, clip, len(takes_of(clip, sign_off.at)))


def _unmeasured(name: str, clip: Clip, count: int) -> Enough:
    if count >= FEWEST:
        said = ngettext(
            "{n} clip of it is here. How far they scatter is measured when a later clip is first "
            "compared with it, and is on record from then on.",
            "{n} clips of it are here. How far they scatter is measured when a later clip is first "
            "compared with it, and is on record from then on.",
            count,
        )
        return Enough(name, True, [said.format(n=count)])
    if count == 1:
        only = _("Only “{clip}” of it is here.").format(clip=clip)
    else:
        only = ngettext(
            "Only {n} clip of it is here.", "Only {n} clips of it are here.", count
        ).format(n=count)
    if float(clip.seconds) >= FEWEST * SHORTEST_PIECE_S:
        stand_in = [_("Pieces of it stand in for takes, and scatter less than takes do.")]
    else:
        unmeasured = told_from(assumed(one_performance=False))
        stand_in = [_("How takes scatter is assumed."), unmeasured]
    return Enough(name, False, [only, *stand_in, missing(count), str(_LATE)])


def _known_by(clip: Clip, spread: Scatter) -> str:
    if spread.takes == 0:
        return _(
            "How far takes of “{clip}” scatter is assumed, since there are not three takes of the "
            "signed sound."
        ).format(clip=clip)
    if spread.pieces:
        said = ngettext(
            "How far takes of “{clip}” scatter is measured on {n} piece of one clip.",
            "How far takes of “{clip}” scatter is measured on {n} pieces of one clip.",
            spread.takes,
        )
    else:
        said = ngettext(
            "How far takes of “{clip}” scatter is measured on {n} clip of the signed sound.",
            "How far takes of “{clip}” scatter is measured on {n} clips of the signed sound.",
            spread.takes,
        )
    return said.format(clip=clip, n=spread.takes)


def told_from(spread: Scatter) -> str:
    """“Between takes a third of an octave differs by 1.3 dB …”."""
    band, least = (float(np.median(each)) for each in (spread.bands, spread.untold))
    return _(
        "From take to take a third of an octave moves by {band} dB, and the level by {level} dB: "
        "on another night less than about {least} dB in a band stays untold."
    ).format(band=number(band, 1), level=number(spread.level, 1), least=number(least, 0))


def missing(count: int) -> str:
    """What to do where there are `count` clips."""
    more = FEWEST - count
    return ngettext(
        "Record {n} more clip of the same input with nothing changed, as other takes.",
        "Record {n} more clips of the same input with nothing changed, as other takes.",
        more,
    ).format(n=more)


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
            [_there(count)] + ([] if count >= FEWEST else [missing(count)]),
        )
        for name, count in counts.items()
    ]


def _there(count: int) -> str:
    return ngettext(
        "{n} clip of the rig as it is.", "{n} clips of the rig as it is.", count
    ).format(n=count)
