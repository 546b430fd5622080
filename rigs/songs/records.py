"""What records do in a song, beside the words that players have signed for their rigs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from core.models import Player, Research
from rigs.models import Rig
from rigs.places import SIGNED_WORDS, SoundWords


@dataclass(frozen=True, slots=True)
class SoundOfRig:
    """The words of one of the player's rigs."""

    rig: Rig
    words: SoundWords


@dataclass(frozen=True, slots=True)
class Record:
    """What one player, or everybody (None), should take from records of one song."""

    player: Player | None
    entries: tuple[Research, ...]
    heard: tuple[SoundOfRig, ...] = ()


def heard_by_player(rigs: Sequence[Rig]) -> dict[UUID, tuple[SoundOfRig, ...]]:
    """The words of each player's rigs, main rigs first; the same words once. Three queries."""
    words = _sound_words(rigs)
    by_player: dict[UUID, tuple[SoundOfRig, ...]] = {}
    # Sorting is stable: behind the main rigs the order of the caller stays.
    for rig in sorted(rigs, key=lambda each: each.variant != Rig.Variant.MAIN):
        so_far = by_player.setdefault(rig.player_id, ())
        if rig.pk in words and words[rig.pk].text not in {each.words.text for each in so_far}:
            by_player[rig.player_id] = (*so_far, SoundOfRig(rig, words[rig.pk]))
    return by_player


def _sound_words(rigs: Sequence[Rig]) -> dict[UUID, SoundWords]:
    """The words that each rig goes by: as they were signed, else as they are written on it. Rigs
    of which nobody has said anything are left out."""
    sound_words = {rig.pk: SoundWords(rig.sound) for rig in rigs if rig.sound}
    for signed in SIGNED_WORDS.call(rigs) if rigs else ():
        # Signed words win over those that were edited since: they are what was agreed on.
        sound_words |= signed
    return sound_words


def records_of(
    research: Iterable[Research], heard: Mapping[UUID, tuple[SoundOfRig, ...]]
) -> tuple[Record, ...]:
    """The records by player, in stage order; what concerns everybody comes last."""
    by_player: dict[Player | None, list[Research]] = {}
    for entry in research:
        by_player.setdefault(entry.player, []).append(entry)
    in_order = sorted(by_player, key=lambda each: (each is None, each.position if each else 0))
    return tuple(
        Record(each, tuple(by_player[each]), heard.get(each.pk, ()) if each else ())
        for each in in_order
    )
