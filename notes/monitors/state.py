"""A monitor mix as plain values: what is compared, brought together, signed and kept. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any, Self

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.sets.merge import Clash, merge_lines, merge_order
from rigs.changes import chain

MORE, LESS, NONE, AS_LOUD, ENOUGH = "more", "less", "none", "as_loud", "enough"
LEVELS = {
    MORE: gettext_lazy("more"),
    LESS: gettext_lazy("less"),
    NONE: gettext_lazy("none"),
    AS_LOUD: gettext_lazy("as loud as"),
    ENOUGH: gettext_lazy("just enough"),
}
# What may be changed of a want that is there, and of the mix itself.
FIELDS = ("level", "inputs", "like", "words")
OF_MIX = ("name", "kind", "player", "position", "output", "eq", "limiter")
# What is heard, and therefore signed. What a mix is called and which socket it leaves by is not.
HEARD = ("kind", "eq", "limiter", "wants")
MOST_WANTS = 60
FORMAT = 1


@dataclass(frozen=True, slots=True)
class Want:
    """One line of a mix. `inputs` are refs “input:id”, “rig:id” or “player:id” (see
    notes.monitors.refs), `like` the one that it is to be as loud as."""

    id: str
    level: str = MORE
    inputs: tuple[str, ...] = ()
    like: str = ""
    words: str = ""

    @property
    def refs(self) -> tuple[str, ...]:
        return (*self.inputs, self.like) if self.like else self.inputs


@dataclass(frozen=True, slots=True)
class MixState:
    """A whole mix, its wants in order: the first is the most important. `player` is an id or ""."""

    name: str = ""
    kind: str = "wedge"
    player: str = ""
    position: str = ""
    output: str = ""
    eq: str = ""
    limiter: str = ""
    wants: tuple[Want, ...] = ()

    @property
    def by_id(self) -> dict[str, Want]:
        return {want.id: want for want in self.wants}

    @property
    def ids(self) -> list[str]:
        return [want.id for want in self.wants]

    @property
    def refs(self) -> set[str]:
        return {ref for want in self.wants for ref in want.refs}

    def plain(self) -> dict[str, Any]:
        plain = asdict(self)
        plain["wants"] = [{**each, "inputs": list(each["inputs"])} for each in plain["wants"]]
        return plain

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> Self:
        wants = (Want(**{**each, "inputs": tuple(each["inputs"])}) for each in plain["wants"])
        return cls(**{**plain, "wants": tuple(wants)})

    def sounds_like(self, other: MixState) -> bool:
        """Whether what is heard is the same, whatever was changed and changed back in between."""
        return all(getattr(self, name) == getattr(other, name) for name in HEARD)


def digest_of(mix: str, number: int, state: MixState, previous: str) -> str:
    """SHA-256, in hex, over the canonical JSON of a version; `previous` is the digest before it."""
    return chain.digest(
        {
            "format": FORMAT,
            "mix": mix,
            "number": number,
            "state": state.plain(),
            "previous": previous or None,
        }
    )


def problems(state: MixState) -> dict[str, str]:
    """What is wrong with a mix, by the id of the want it is wrong at, or the field of the mix."""
    wrong: dict[str, str] = {}
    if len(state.wants) > MOST_WANTS:
        wrong[""] = _("A mix has {most} lines at most.").format(most=MOST_WANTS)
    if not state.player and not state.position:
        wrong["player"] = _("Say whose mix it is: a player, or a position on stage.")
    for want in state.wants:
        if not want.inputs and not want.words:
            wrong[want.id] = _("Say which input, or in words what is meant.")
        elif want.level == AS_LOUD and not want.like:
            wrong[want.id] = _("As loud as what? Name one input.")
        elif want.level != AS_LOUD and want.like:
            wrong[want.id] = _("Choose “as loud as”, or leave the last field empty.")
    return wrong


@dataclass(frozen=True, slots=True)
class MergedMix:
    """`state` has what both made of it; where both touched one thing, what was typed last stands
    in it and `clashes` say what the other wrote. `reordered`: both moved lines, in different ways.
    """

    state: MixState
    clashes: tuple[Clash, ...] = ()
    reordered: bool = False
    kept: tuple[str, ...] = ()

    @property
    def is_agreed(self) -> bool:
        return not self.clashes and not self.reordered


def merge(base: MixState, mine: MixState, now: MixState, *, same_person: bool = False) -> MergedMix:
    """`mine` was made of `base` while others made `now` of it. Nothing of either is thrown away.

    What one and the same person did twice does not clash: the later counts.
    """
    wants = (base.by_id, mine.by_id, now.by_id)
    _, clashes, kept = merge_lines(*wants, FIELDS, decided={}, same_person=same_person)
    lines, _, _ = merge_lines(*wants, FIELDS, decided={}, same_person=True)
    orders, ids = merge_order(
        base.ids, mine.ids, now.ids, set(lines), decided={}, same_person=same_person
    )
    values, of_mix = _of_mix(base, mine, now, same_person)
    state = replace(now, **values, wants=tuple(lines[each] for each in ids))
    return MergedMix(state, (*of_mix, *clashes), orders is not None, tuple(kept))


def _of_mix(
    base: MixState, mine: MixState, now: MixState, same_person: bool
) -> tuple[dict[str, Any], list[Clash]]:
    values: dict[str, Any] = {}
    clashes = []
    for name in OF_MIX:
        was, own, there = (getattr(state, name) for state in (base, mine, now))
        values[name] = there if own == was else own
        if own not in (was, there) and there != was and not same_person:
            clashes.append(Clash(name, None, name, own, there))
    return values, clashes
