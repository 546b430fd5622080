"""The sentence that says where a microphone stands, from what was measured. No queries."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal

from django.utils.translation import gettext as _

from core.languages.words import each_of
from core.units import format_both
from rigs.changes.edits import Value
from rigs.fields import PartField, Phrase, placement_of
from rigs.wording import fields

Lengths = Callable[[Decimal, str], str]  # metres and the unit they were written in → words
Known = Mapping[str, Value]  # fields of an input as a snapshot has them, lengths in metres
_INPUT = "input"


def placement_words(
    known: Known, *, on: str | None = None, lengths: Lengths = format_both, nothing: str = ""
) -> str:
    """“On Cabinet, cone edge, 35 mm (1.4 in) from the grille, 15° off axis, 2 cm above it”.

    `on` is the name of what the sound is taken from, empty for the room; None leaves that out.
    `nothing` is said where nothing of the placement is noted.
    """
    phrases = list(_phrases(known, lengths))
    if on is not None:
        phrases.insert(0, _("On {source}").format(source=on) if on else _("In the room"))
    return each_of(phrases) or nothing


def placement_data(known: Known) -> dict[str, Value]:
    """What `placement_words` reads of `known` and nothing else, every length with its unit: for
    what has to be read without the rest of the rig."""
    rows = [row for row in placement_of(_INPUT) if row.phrase is not None]
    stated = [row for row in rows if known.get(row.name) not in (None, "")]
    units = {r.unit_field: fields.unit_of(_INPUT, r, known) for r in stated if r.is_length}
    return {row.name: known[row.name] for row in stated} | units


def _phrases(known: Known, lengths: Lengths) -> Iterator[str]:
    for row in placement_of(_INPUT):
        if row.phrase is not None and not _is_start_of_another(row, known):
            text = _phrase(row, row.phrase, known, lengths)
            if text:
                yield text


def _is_start_of_another(row: PartField, known: Known) -> bool:
    """Whether a length on record is told with this point: “35 mm from the grille”."""
    return any(
        each.phrase is not None
        and each.phrase.start == row.name
        and known.get(each.name) is not None
        for each in placement_of(_INPUT)
    )


def _phrase(row: PartField, phrase: Phrase, known: Known, lengths: Lengths) -> str:
    value = known.get(row.name)
    if value is None or value == "":
        return ""
    words = phrase.words
    if phrase.negative:
        amount = Decimal(str(value))
        if not amount:
            return ""
        words = words if amount > 0 else phrase.negative
        # The words say the side already, as in “5 cm below”, so the sign goes.
        value = str(abs(amount))
    start = known.get(phrase.start) if phrase.start else None
    told = _(words).format(value=_text(row, value, known, lengths))
    return _("{length} from {point}").format(length=told, point=start) if start else told


def _text(row: PartField, value: Value, known: Known, lengths: Lengths) -> str:
    if row.is_length:
        unit = fields.unit_of(_INPUT, row, known)
        return lengths(Decimal(str(value)), unit).replace("-", "−")
    return fields.text(_INPUT, row.name, value, known)
