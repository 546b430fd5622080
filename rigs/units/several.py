"""Add several units with their usual controls, as one change.

Units written one a line: name, kind, maker and model, then the settings as they are said. Pure.

    Head, valve head, Tarn Fifty, 2:30, 11, 12, 1:30, 9, 12, on, 8 Ω
    Fuzz, pedal, , on, Drive 3:00
    Top, head, , 6.5, 5, 4, 7, 3

A setting goes to the next of the usual controls of its kind, or to the one it names. How the dials
of a line are read is decided for all of them by rigs.dial_scales, or is left to be asked.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING
from uuid import uuid4

from django.db import transaction
from django.utils.translation import gettext as _

from core.languages.typed import COMMAS
from core.languages.words import one_of
from core.lines import read_each
from rigs.changes.edits import Add
from rigs.editing.ordering import next_position
from rigs.models import Rig, Unit
from rigs.revisions.record import record

if TYPE_CHECKING:
    from core.models import User
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from rigs.dial_scales import DIALS, Reading, how_read, read_as
from rigs.gear import GEAR, OTHER, Gear, Usual
from rigs.gear.makes import by_length, maker_and_model
from rigs.settings_of_controls import Style, tidy_setting


@transaction.atomic
def add_units(*, rig: Rig, drafts: Sequence[UnitDraft], author: User) -> list[str]:
    """The ids of the new units, in order. Raises ValidationError for values that cannot be."""
    # Locked before positions are counted, so that two people adding units get different ones.
    rig = Rig.objects.select_for_update().get(pk=rig.pk)
    first = next_position(Unit(rig=rig))
    edits: list[Add] = []
    made = []
    for position, draft in enumerate(drafts, start=first):
        made.append(str(uuid4()))
        edits += edits_of(made[-1], position, draft)
    record(rig, edits, author=author, base=rig.head_number)
    return made


def edits_of(unit: str, position: int, draft: UnitDraft) -> list[Add]:
    """The unit of that id with its usual controls."""
    edits = [
        Add(
            unit,
            "unit",
            {
                "name": draft.name,
                "gear": draft.gear.key,
                "maker": draft.maker,
                "model": draft.model,
                "position": position,
            },
        )
    ]
    taken = [u for u in draft.gear.usual if u.taken or draft.settings.get(u.name)]
    for at, usual in enumerate(taken, start=1):
        edits.append(
            Add(
                str(uuid4()),
                "control",
                {
                    "unit": unit,
                    "name": usual.words,
                    "style": draft.style_of(usual).value,
                    "position": at,
                    "choices": usual.positions,
                    "symbol": usual.unit,
                    "setting": draft.settings.get(usual.name, ""),
                },
            )
        )
    return edits


# Each unit brings its controls, and all of them are one change of the history.
MAX_LINES = 60
_NAME, _MAKE = 120, 80


@dataclass(frozen=True, slots=True)
class UnitDraft:
    """A unit to be added. `settings` are those of its kind's usual controls, by name, as written.

    `reading` is how its dials are read; None where what is written can be either.
    """

    name: str
    gear: Gear
    maker: str = ""
    model: str = ""
    settings: dict[str, str] = field(default_factory=dict)
    reading: Reading | None = Reading.CLOCK

    def style_of(self, usual: Usual) -> Style:
        return usual.style if self.reading is None else read_as(usual.style, self.reading)

    @property
    def dials(self) -> dict[str, str]:
        """What is written at its dials, by their names."""
        names = (usual.name for usual in self.gear.usual if usual.style in DIALS)
        return {name: self.settings[name] for name in names if self.settings.get(name)}

    def checked(self) -> UnitDraft:
        """With switches, choices and values in their one spelling; a dial stays as it is written.

        Raises ValueError, in words for a form, for a setting that its control cannot have.
        """
        settings = dict(self.settings)
        for usual in self.gear.usual:
            if usual.name in settings:
                try:
                    settings[usual.name] = self.tidied(usual)
                except ValueError as error:
                    raise ValueError(
                        _("{control}: {problem}").format(control=usual.words, problem=error)
                    ) from None
        return replace(self, settings=settings)

    def tidied(self, usual: Usual) -> str:
        """Raises ValueError where the control cannot stand so."""
        text, is_dial = self.settings[usual.name], usual.style in DIALS
        if is_dial and self.reading is None:
            return text
        tidied = tidy_setting(self.style_of(usual), text, None, None, usual.positions)
        return text if is_dial else tidied


def read_lines(text: str, makers: Iterable[str] = ()) -> list[UnitDraft]:
    """The units of `text`; blank lines are passed over. `makers` are those known to the crew.

    Raises ValueError with all that cannot be read, one message a line.
    """
    known = by_length(makers)
    return read_each(
        text,
        lambda line: read_line(line, known),
        name_of=lambda draft: draft.name,
        most=MAX_LINES,
        things="units",
    )


def read_line(line: str, makers: Sequence[str] = ()) -> UnitDraft:
    """Raises ValueError in words for a form."""
    parts = [" ".join(part.split()) for part in re.split(f"[{COMMAS}\t]", line)]
    name, kind, make, *cells = [*parts, "", ""] if len(parts) < 3 else parts
    if not name:
        raise ValueError(_("It begins with the unit’s name."))
    if len(name) > _NAME:
        raise ValueError(_("A name has at most {n} characters.").format(n=_NAME))
    gear = kind_of(kind, name)
    maker, model = maker_and_model(make, makers)
    written = UnitDraft(name, gear, maker[:_MAKE], model[:_MAKE], _settings(gear, cells))
    reading = how_read(written.dials.values(), numbered=gear.numbered)
    return replace(written, reading=reading).checked()


def kind_of(text: str, name: str = "") -> Gear:
    """The kind meant by its label, its key, or the beginning of a word of either.

    Where nothing is said the name may tell (“Fuzz pedal”, “Floor tom”); otherwise it is gear of
    another kind.
    Raises ValueError for a kind that is none, or could be several.
    """
    words = text.casefold().replace("-", " ").split()
    if not words:
        return _kind_in(name.casefold())
    whole = " ".join(words)
    exact = [
        g
        for g in GEAR.values()
        if whole in (*(name.replace("-", " ") for name in _labels(g)), g.key.replace("_", " "))
    ]
    # “cab” is a cabinet before it is a rotary-speaker cabinet.
    begun = [g for g in GEAR.values() if g.key.replace("_", " ").startswith(whole)]
    fitting = exact or begun or [gear for gear in GEAR.values() if _fits(words, gear)]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        kinds = one_of(gear.words for gear in fitting)
        raise ValueError(_("“{text}” can be {kinds}.").format(text=text, kinds=kinds))
    raise ValueError(_("“{text}” is no kind of gear known here.").format(text=text))


def _kind_in(name: str) -> Gear:
    """The kind that a name ends with (“Bass head”), the longest; or the only one that it names."""
    spoken = {
        word: gear
        for gear in GEAR.values()
        if gear is not OTHER
        for word in (*_labels(gear), gear.key.replace("_", " "), *gear.called)
    }
    ends = [word for word in spoken if f" {name}".endswith(f" {word}")]
    if ends:
        return spoken[max(ends, key=len)]
    keys = {gear.key for word, gear in spoken.items() if f" {word} " in f" {name} "}
    return GEAR[keys.pop()] if len(keys) == 1 else OTHER


def _labels(gear: Gear) -> tuple[str, ...]:
    """What a kind is called, as people type it: in their language or in English."""
    return tuple(dict.fromkeys((gear.words.casefold(), gear.label.casefold())))


def _fits(typed: Sequence[str], gear: Gear) -> bool:
    words = " ".join((*_labels(gear), gear.key)).replace("_", " ").replace("-", " ").split()
    return all(any(word.startswith(part) for word in words) for part in typed)


def _settings(gear: Gear, cells: Sequence[str]) -> dict[str, str]:
    """What was said of each control, by its name; a piece left empty passes its control over."""
    settings: dict[str, str] = {}
    free = list(gear.usual)
    for piece in cells:
        named = _named(piece, gear.usual)
        usual, text = named or (free[0] if free else None, piece)
        if usual is None and not text:
            continue
        if usual is None:
            raise ValueError(_too_many(text, gear))
        free = free[1:] if named is None else [each for each in free if each != usual]
        if text:
            symbol = usual.unit
            settings[usual.name] = text.removesuffix(symbol).strip() if symbol else text
    return settings


def _too_many(text: str, gear: Gear) -> str:
    if gear is OTHER:
        words = _(
            "“{text}” needs a kind of gear in front, after the name: “Comp, compressor, , on”."
        )
        return words.format(text=text)
    words = _("“{text}” is one setting more than gear of this kind usually has: {kind}.")
    return words.format(text=text, kind=gear.words)


def _named(piece: str, usual: Sequence[Usual]) -> tuple[Usual, str] | None:
    leads = [
        (f"{name} ", each) for each in usual for name in dict.fromkeys((each.words, each.name))
    ]
    for lead, each in sorted(leads, key=lambda pair: -len(pair[0])):
        if piece.casefold().startswith(lead.casefold()):
            return each, piece[len(lead) :].lstrip(": ")
    return None
