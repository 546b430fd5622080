"""What the lines of a mix are about: an input, a whole rig, all that a player has.

A ref is “input:id”, “rig:id” or “player:id”. Here it gets its name, and what was typed its ref.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cache
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from core.composed import Composed, column
from core.languages.typed import COMMAS, SEMICOLONS, between_figures
from core.languages.words import apart, in_every_language
from core.models import Player, Production
from rigs.models import Input, Rig

ALL_OF = gettext_noop("all of {name}")
INPUT, RIG, PLAYER = "input", "rig", "player"
_BETWEEN = f"[{COMMAS}{SEMICOLONS}\n]"
_MOST_OF_RANGE = 64
GONE = gettext_lazy("an input that is no longer there")


def _all_of(name: str) -> str:
    return _(ALL_OF).format(name=name)


def _all_of_everywhere(name: str) -> Iterator[str]:
    """The same as it is said in each language."""
    for words in in_every_language(ALL_OF):
        yield words.format(name=name)


@cache
def _range() -> re.Pattern[str]:
    return re.compile(rf"(\d{{1,4}}){between_figures()}(\d{{1,4}})", re.IGNORECASE)


_inputs = Composed(
    lambda production: (
        Input.objects.filter(rig__production=production)
        .select_related("rig__player")
        .order_by("number", "name", "pk")
    ),
    column(Production),
)
_rigs = Composed(
    lambda production: Rig.objects.filter(production=production).select_related("player"),
    column(Production),
)
_players = Composed(
    lambda production: Player.objects.filter(production=production), column(Production)
)


class Known:
    """The inputs, rigs and players of a production, for their names and for what is typed.

    Three queries, however many there are. What is retired still has its name, and is not found by
    what is typed.
    """

    def __init__(self, production: UUID) -> None:
        inputs, rigs, players = _inputs(production), _rigs(production), _players(production)
        self.names: dict[str, str] = {}
        self.players = {str(player.pk): player.name for player in players}
        self.about: dict[str, str] = {}  # an input → its rig, a rig → its player
        self._found: dict[str, list[str]] = defaultdict(list)
        self._numbers: dict[int, list[str]] = defaultdict(list)
        live_inputs = []
        self._main: set[str] = set()  # of two rigs of a player, this is the one that is meant
        for entry in inputs:
            ref = f"{INPUT}:{entry.pk}"
            self.about[ref] = f"{RIG}:{entry.rig_id}"
            if entry.rig.variant == Rig.Variant.MAIN:
                self._main.add(ref)
            in_use = not (entry.retired or entry.rig.retired or entry.rig.player.is_retired)
            live_inputs += [(ref, entry)] if in_use else []
            self.names[ref] = _label(entry)
        for rig in rigs:
            ref = f"{RIG}:{rig.pk}"
            self.about[ref] = f"{PLAYER}:{rig.player_id}"
            self.names[ref] = _all_of(_plain(rig.name))
            if not rig.retired:
                self._learn(ref, rig.name, *_all_of_everywhere(rig.name))
        for player in players:
            ref = f"{PLAYER}:{player.pk}"
            self.names[ref] = _all_of(_plain(player.name))
            if not player.is_retired:
                self._learn(ref, player.name, *_all_of_everywhere(player.name))
        self._learn_inputs(live_inputs)

    def _learn_inputs(self, inputs: list[tuple[str, Input]]) -> None:
        # Two inputs with one label: each says whose it is, and on which rig.
        labels = defaultdict(list)
        for ref, entry in inputs:
            labels[_folded(_label(entry))].append((ref, entry))
        for same in labels.values():
            for ref, entry in same:
                if len(same) > 1:
                    self.names[ref] += f" ({_plain(entry.rig.name)})"
        for ref, entry in inputs:
            said = (f"{entry.name} ({whose})" for whose in (entry.rig.player, entry.rig))
            self._learn(ref, self.names[ref], entry.name, *said)
            if entry.number is not None:
                self._numbers[entry.number].append(ref)

    def _learn(self, ref: str, *names: str) -> None:
        for name in dict.fromkeys(_folded(each) for each in names):
            self._found[name].append(ref)

    @property
    def in_use(self) -> list[str]:
        """The names that can be typed, inputs by their numbers first."""
        known = {ref for refs in self._found.values() for ref in refs}
        return [name for ref, name in self.names.items() if ref in known]

    def name(self, ref: str) -> str:
        return self.names.get(ref) or str(GONE)

    def typed(self, refs: Iterable[str]) -> str:
        """Refs as they are typed: names with commas between them."""
        return ", ".join(self.name(ref) for ref in refs)

    def read(self, text: str) -> tuple[str, ...]:
        """The refs of names and numbers with commas between them, “1, 3-5, Vox, all of Kit”.

        Raises ValidationError, which names what is not known or stands for several.
        """
        refs: list[str] = []
        wrong: list[str] = []
        for piece in re.split(_BETWEEN, text):
            if not piece.strip():
                continue
            try:
                refs += self._read_one(piece.strip())
            except ValidationError as error:
                wrong += error.messages
        if wrong:
            raise ValidationError(wrong)
        return tuple(dict.fromkeys(refs))

    def _read_one(self, piece: str) -> list[str]:
        if found := self._found.get(_folded(piece)):
            return [self._one(piece, found)]
        if span := _range().fullmatch(piece):
            low, high = int(span[1]), int(span[2])
            if not low <= high < low + _MOST_OF_RANGE:
                raise ValidationError(_("“{typed}” is no range of channels.").format(typed=piece))
            numbers = [number for number in range(low, high + 1) if number in self._numbers]
            if not numbers:
                raise ValidationError(
                    _("No input has a channel from {low} to {high}.").format(low=low, high=high)
                )
            return [self._one(str(number), self._numbers[number]) for number in numbers]
        if piece.isdecimal() and (found := self._numbers.get(int(piece))):
            return [self._one(piece, found)]
        raise ValidationError(_("“{typed}” is no input, rig or player here.").format(typed=piece))

    def _one(self, piece: str, found: list[str]) -> str:
        if len(found) > 1:
            found = [ref for ref in found if ref in self._main] or found
        if len(found) > 1:
            names = apart(self.name(ref) for ref in found)
            raise ValidationError(
                _("“{typed}” is more than one: {names}. Name one of them.").format(
                    typed=piece, names=names
                )
            )
        return found[0]

    def covers(self, ref: str, entry: str) -> bool:
        """Whether `ref` means the input `entry`, by itself or with its whole rig or player."""
        rig = self.about.get(entry, "")
        return ref in (entry, rig, self.about.get(rig, ""))


def _label(entry: Input) -> str:
    name = _plain(entry.name)
    return name if entry.number is None else f"{entry.number} {name}"


def _plain(name: str) -> str:
    """Commas and semicolons stand between names."""
    return " ".join(re.sub(_BETWEEN, " ", name).split())


def _folded(name: str) -> str:
    return _plain(name).casefold()
