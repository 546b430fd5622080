"""What the history knows between the signature and a clip: on one time line, and what each change
could do to the sound."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from core.languages.words import told
from notes.causes.kind import Kind
from notes.causes.kinds import ALL
from notes.models import Clip, SignOff
from notes.signing.net_changes import Difference, between
from notes.signing.since import NONE as NOTHING_SINCE
from notes.signing.since import Since, since_revision
from rigs.models import Control, Revision


@dataclass(frozen=True, slots=True)
class Moment:
    """One place on the time line: a change with what it did that still holds, in sentences; the
    signature and the clip have no revision. `fits`: labels of the causes it could be."""

    at: datetime
    revision: Revision | None = None
    lines: tuple[str, ...] = ()
    fits: tuple[str, ...] = ()
    is_signature: bool = False


@dataclass(frozen=True, slots=True)
class History:
    """`moments` from the signature to the clip in order; `fitting`: for the key of each kind of
    cause that some change fits, when that was; `more` smaller differences are not told."""

    moments: tuple[Moment, ...]
    fitting: Mapping[str, Sequence[Revision]]
    more: int = 0

    @property
    def changes(self) -> list[Moment]:
        return [each for each in self.moments if each.revision is not None]


def history_of(sign_off: SignOff, clip: Clip) -> History:
    """What is not as it was signed in the state that the clip was recorded in. What was changed
    after that cannot be heard on it."""
    start, end = sign_off.revision.number, clip.revision.number
    found = _found(clip, start, end)
    since = since_revision(clip.rig, start, end) if end > start else NOTHING_SINCE
    fits = _fits(found, clip)
    revisions = {why.revision.pk: why.revision for part in since.parts for why in part.why}
    lines = _lines(since)
    did: dict[int, list[str]] = defaultdict(list)
    kinds: dict[int, dict[str, str]] = defaultdict(dict)
    for each in found:
        # Where the newest that touched it is not told, neither is what it did.
        newest = each.revisions[-1] if each.revisions else 0
        line = lines.get((each.change.part, each.change.field))
        if newest in revisions and line:
            did[newest].append(line)
        kinds[newest] |= {kind.key: kind.label for kind in fits.get(_key(each), ())}
    changes = [
        Moment(
            revisions[pk].happened_at,
            revisions[pk],
            tuple(words),
            tuple(told(each) for each in kinds.get(pk, {}).values()),
        )
        for pk, words in did.items()
    ]
    changes.sort(key=lambda each: (each.at, each.revision.number if each.revision else 0))
    return History(
        (Moment(sign_off.at, is_signature=True), *changes, Moment(_heard_at(clip))),
        _fitting(kinds, revisions),
        since.more,
    )


def _heard_at(clip: Clip) -> datetime:
    return clip.recorded_at or clip.brought_at


def _found(clip: Clip, start: int, end: int) -> list[Difference]:
    if end <= start:
        return []
    return between([clip.rig], {clip.rig_id: (start, end)})[clip.rig_id]


def _lines(since: Since) -> dict[tuple[str, str], str]:
    return {(line.part, line.field): line.sentence for part in since.parts for line in part.lines}


def _key(difference: Difference) -> tuple[str, str]:
    return difference.change.part, difference.change.field


def _fits(found: Iterable[Difference], clip: Clip) -> dict[tuple[str, str], list[Kind]]:
    """The kinds of causes that each difference could be, by part and field."""
    heard = [
        each
        for each in found
        # Another input's microphone does nothing to this one.
        if each.change.kind != "input" or each.change.part == str(clip.input_id)
    ]
    names = _names_of({each.change.part for each in heard if each.change.kind == "control"})
    return {_key(each): _kinds(each, names.get(each.change.part, "")) for each in heard}


def _kinds(difference: Difference, control: str) -> list[Kind]:
    change = difference.change
    return [
        kind
        for kind in ALL
        if any(
            change.kind == part and (not field or change.field.startswith(field))
            for part, field in kind.fields
        )
        or any(word in control for word in kind.controls)
    ]


def _names_of(controls: set[str]) -> dict[str, str]:
    """Names of controls in small letters, by id. One query; none without a control."""
    if not controls:
        return {}
    rows = Control.objects.filter(pk__in=controls).values_list("pk", "name")
    return {str(pk): name.lower() for pk, name in rows}


def _fitting(
    kinds: Mapping[int, Mapping[str, str]], revisions: Mapping[int, Revision]
) -> dict[str, list[Revision]]:
    fitting: dict[str, list[Revision]] = defaultdict(list)
    for pk, labels in kinds.items():
        for key in labels:
            # A change that is not told counts all the same.
            fitting[key] += [revisions[pk]] if pk in revisions else []
    return dict(fitting)
