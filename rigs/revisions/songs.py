"""Check what songs change: values in one spelling, and each thing at most once for a song.

What scenes set on controls is spelled here, too: by the same rule.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.models import Section
from rigs.changes.edits import WHOLE, Add, Change, Edit, Set, Snapshot, Value
from rigs.models import Control, Rig, SceneEntry, SongSetting
from rigs.models.parts import plain_value
from rigs.revisions.scenes import STAYS, state_after
from rigs.settings_of_controls import Style, tidy_setting

KIND = SongSetting.KIND
_KINDS = (KIND, SceneEntry.KIND)  # both say “control” where they set one
_SCALE = ("style", "low", "high", "choices")
_IDENTITY = frozenset({"song", "what", "control", "unit", "input"})
ONE_WORD = gettext_lazy("The song says something else of this already. Change that instead.")


def settled(rig: Rig, edits: list[Edit], known: Snapshot) -> list[Edit]:
    """The edits, with the settings of controls spelled by each control's own rules.

    `known` holds the parts that the edits name. One query at most, none without such settings.
    Raises ValidationError where the control cannot stand there.
    """
    controls = {edit.part: control for edit in edits if (control := _control_of(edit, known))}
    if not controls:
        return edits
    scales = _scales(rig, set(controls.values()), edits)
    return [
        _spelled(edit, scales[controls[edit.part]])
        if edit.part in controls and controls[edit.part] in scales
        else edit
        for edit in edits
    ]


def _control_of(edit: Edit, known: Snapshot) -> str:
    """The control whose setting for a song or scene the edit gives a value; empty for others."""
    if edit.kind not in _KINDS or not isinstance(edit, Add | Set) or not edit.fields.get("value"):
        return ""
    was = known.get(edit.part, {}) if isinstance(edit, Set) else {}
    fields = {**was, **edit.fields}
    if (fields.get("what") or SongSetting.What.CONTROL) != SongSetting.What.CONTROL:
        return ""
    return str(plain_value(fields.get("control")) or "")


def _scales(rig: Rig, controls: set[str], edits: Iterable[Edit]) -> dict[str, dict[str, Any]]:
    """The scale of each control by its id: as stored, changed as the same edits change it."""
    rows = Control.objects.filter(rig=rig, pk__in=_ids(controls)).values("pk", *_SCALE)
    scales = {str(row["pk"]): {name: row[name] for name in _SCALE} for row in rows}
    for edit in edits:
        if edit.kind == Control.KIND and edit.part in controls and isinstance(edit, Add | Set):
            given = {name: edit.fields[name] for name in _SCALE if name in edit.fields}
            scales[edit.part] = {**scales.get(edit.part, {}), **given}
    return scales


def _ids(texts: Iterable[str]) -> list[Any]:
    return [Control._meta.pk.to_python(text) for text in texts]


def _spelled(edit: Edit, scale: Mapping[str, Any]) -> Edit:
    assert isinstance(edit, Add | Set)  # noqa: S101 - only these have a value
    try:
        value = tidy_setting(
            Style(scale.get("style") or Style.CLOCK),
            str(edit.fields["value"]),
            _number(scale.get("low")),
            _number(scale.get("high")),
            scale.get("choices") or "",
        )
    except ValueError as error:
        raise ValidationError({"value": str(error)}) from None
    return type(edit)(edit.part, edit.kind, {**edit.fields, "value": value})


def _number(value: Any) -> Any:
    return Control._meta.get_field("low").to_python(value)


def check_songs(rig: Rig, changes: list[Change]) -> None:
    """Raise ValidationError where a song would say two things of one, or a section is not its own.

    Looks at differences that come or turn to something else; two queries at most.
    """
    mine = [change for change in changes if change.kind == KIND]
    if not any(c.new is not None and c.field in (WHOLE, *_IDENTITY, "section") for c in mine):
        return
    state = state_after(SongSetting, rig, mine)
    for change in mine:
        # Another instrument is another word on the same thing; all else would be another thing.
        what = state.get(change.part, {}).get("what")
        if change.field in _IDENTITY and (change.field, what) != ("unit", "instrument"):
            raise ValidationError({change.field: STAYS})
    counts = Counter(key for fields in state.values() if (key := identity_of(fields)))
    if any(count > 1 for count in counts.values()):
        raise ValidationError(ONE_WORD)
    touched = [state[c.part] for c in mine if c.part in state and state[c.part].get("section")]
    _check_sections(touched)


def identity_of(fields: Mapping[str, Value]) -> tuple[Value, ...] | None:
    """The song and the thing that a difference is about, which is unique; None for what belongs to
    a moment of the song."""
    what = str(fields.get("what") or SongSetting.What.CONTROL)
    if what in SongSetting.AT_A_MOMENT:
        return None
    if what == SongSetting.What.INSTRUMENT:
        return fields.get("song"), what
    return fields.get("song"), what, fields.get(SongSetting.ABOUT.get(what, ""))


def _check_sections(settings: Iterable[Mapping[str, Value]]) -> None:
    song_of_section = {str(fields["section"]): str(fields.get("song")) for fields in settings}
    if not song_of_section:
        return
    rows = Section.objects.filter(pk__in=list(song_of_section)).values_list("pk", "song")
    songs = {str(section): str(song) for section, song in rows}
    if any(songs.get(section) != song for section, song in song_of_section.items()):
        raise ValidationError({"section": _("That is a section of another song.")})
