"""A mix and what a change did to it, in words. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.sets.merge import moved
from notes.models import MonitorMix
from notes.monitors.state import AS_LOUD, LESS, LEVELS, MORE, NONE, OF_MIX, MixState, Want

KINDS = {str(value): label for value, label in MonitorMix.Kind.choices}
LABELS = {
    "name": gettext_lazy("name"),
    "kind": gettext_lazy("kind"),
    "player": gettext_lazy("player"),
    "position": gettext_lazy("position"),
    "output": gettext_lazy("output"),
    "eq": gettext_lazy("EQ"),
    "limiter": gettext_lazy("limiter"),
    "level": gettext_lazy("how much"),
    "inputs": gettext_lazy("of what"),
    "like": gettext_lazy("as loud as"),
    "words": gettext_lazy("in words"),
}
Name = Callable[[str], str]  # a ref → what it is called


def want_in_words(want: Want, name: Name) -> str:
    """“more 9 Vox, 10 Vox Thessa”, “3 Bass as loud as 1 Kick”."""
    about = _(", ").join(name(ref) for ref in want.inputs)
    if not about:
        return _("{level}: “{words}”").format(level=LEVELS[want.level], words=want.words)
    said = _want(want, about, name)
    return _("{want}: “{words}”").format(want=said, words=want.words) if want.words else said


def _want(want: Want, about: str, name: Name) -> str:
    if want.level == AS_LOUD:
        return _("{inputs} as loud as {like}").format(inputs=about, like=name(want.like))
    if want.level == NONE:
        # “nothing of Kit”, where the names would say “all of Kit”.
        whole = _("all of {name}").format(name="")
        if about.startswith(whole):
            return _("nothing of {inputs}").format(inputs=about.removeprefix(whole))
        return _("no {inputs}").format(inputs=about)
    if want.level == MORE:
        return _("more {inputs}").format(inputs=about)
    if want.level == LESS:
        return _("less {inputs}").format(inputs=about)
    return _("just enough {inputs}").format(inputs=about)


def in_words(
    before: MixState, after: MixState, name: Name, players: Mapping[str, str]
) -> list[str]:
    """Sentences on what differs, none where nothing does. `players` are names by id."""
    return list(_sentences(before, after, name, players))


def _sentences(
    before: MixState, after: MixState, name: Name, players: Mapping[str, str]
) -> Iterator[str]:
    for field in OF_MIX:
        was, now = getattr(before, field), getattr(after, field)
        if was != now:
            yield _changed(field, value_in_words(field, now, name, players))
    was_there, there = before.by_id, after.by_id
    for at, want in enumerate(after.wants, start=1):
        if want.id not in was_there:
            yield _("Put in at {place}: {want}.").format(place=at, want=want_in_words(want, name))
    for want in before.wants:
        if want.id not in there:
            yield _("Taken out: {want}.").format(want=want_in_words(want, name))
    places = {each: at for at, each in enumerate(after.ids, start=1)}
    for each in moved(before.ids, after.ids):
        yield _("Moved to {place}: {want}.").format(
            place=places[each], want=want_in_words(there[each], name)
        )
    for want in after.wants:
        old = was_there.get(want.id)
        if old is not None and old != want:
            yield _("{before} is now {after}.").format(
                before=_capital(want_in_words(old, name)), after=want_in_words(want, name)
            )


def _changed(field: str, value: str) -> str:
    label = _capital(str(LABELS[field]))
    if not value:
        return _("{label}: nothing.").format(label=label)
    return _("{label}: {value}.").format(label=label, value=value)


def value_in_words(field: str, value: object, name: Name, players: Mapping[str, str]) -> str:
    if field == "kind":
        return str(KINDS.get(str(value), value))
    if field == "player":
        return players.get(str(value), "") if value else ""
    if field == "level":
        return str(LEVELS.get(str(value), value))
    if field == "like":
        return name(str(value)) if value else ""
    if isinstance(value, tuple):
        return _(", ").join(name(ref) for ref in value)
    return str(value)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
