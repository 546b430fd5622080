"""A mix and what a change did to it, in words. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from core.languages.choice import as_stored
from core.languages.sentences import Sentences, each_retold, label_retold
from core.languages.words import retold
from core.sets.merge import moved
from notes.models import MixVersion, MonitorMix
from notes.monitors.refs import ALL_OF
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


class Says(Sentences):
    """What the versions of a mix say."""

    BEGUN = gettext_noop("Begun.")
    PUT_IN = gettext_noop("Put in at {place}: {want}.")
    TAKEN_OUT = gettext_noop("Taken out: {want}.")
    MOVED = gettext_noop("Moved to {place}: {want}.")
    REPLACED = gettext_noop("{before} is now {after}.")
    NOTHING = gettext_noop("{label}: nothing.")
    CHANGED = gettext_noop("{label}: {value}.")


class OfWant(Sentences):
    """What somebody wants to hear."""

    IN_WORDS = gettext_noop("{level}: “{words}”")
    AND_WORDS = gettext_noop("{want}: “{words}”")
    AS_LOUD = gettext_noop("{inputs} as loud as {like}")
    NOTHING = gettext_noop("nothing of {inputs}")
    NONE = gettext_noop("no {inputs}")
    MORE = gettext_noop("more {inputs}")
    LESS = gettext_noop("less {inputs}")
    ENOUGH = gettext_noop("just enough {inputs}")


Name = Callable[[str], str]  # a ref → what it is called


def want_in_words(want: Want, name: Name) -> str:
    """“more 9 Vox, 10 Vox Thessa”, “3 Bass as loud as 1 Kick”."""
    about = _(", ").join(name(ref) for ref in want.inputs)
    if not about:
        return OfWant.IN_WORDS.said(level=LEVELS[want.level], words=want.words)
    said = _want(want, about, name)
    return OfWant.AND_WORDS.said(want=said, words=want.words) if want.words else said


def _want(want: Want, about: str, name: Name) -> str:
    if want.level == AS_LOUD:
        return OfWant.AS_LOUD.said(inputs=about, like=name(want.like))
    if want.level == NONE:
        # “nothing of Kit”, where the names would say “all of Kit”.
        whole = _(ALL_OF).format(name="")
        if about.startswith(whole):
            return OfWant.NOTHING.said(inputs=about.removeprefix(whole))
        return OfWant.NONE.said(inputs=about)
    if want.level == MORE:
        return OfWant.MORE.said(inputs=about)
    if want.level == LESS:
        return OfWant.LESS.said(inputs=about)
    return OfWant.ENOUGH.said(inputs=about)


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
            yield Says.PUT_IN.said(place=at, want=want_in_words(want, name))
    for want in before.wants:
        if want.id not in there:
            yield Says.TAKEN_OUT.said(want=want_in_words(want, name))
    places = {each: at for at, each in enumerate(after.ids, start=1)}
    for each in moved(before.ids, after.ids):
        yield Says.MOVED.said(place=places[each], want=want_in_words(there[each], name))
    for want in after.wants:
        old = was_there.get(want.id)
        if old is not None and old != want:
            yield Says.REPLACED.said(
                before=_capital(want_in_words(old, name)), after=want_in_words(want, name)
            )


def _changed(field: str, value: str) -> str:
    label = _capital(str(LABELS[field]))
    if not value:
        return Says.NOTHING.said(label=label)
    return Says.CHANGED.said(label=label, value=value)


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


@MixVersion.told_by
def told_of(version: MixVersion) -> list[str]:
    """What a version changed, in the language of the reader."""
    return list(map(words_retold, version.words))


def words_retold(words: str) -> str:
    with as_stored():
        labels = {_capital(str(label)): label for label in LABELS.values()}
        kind = _capital(str(LABELS["kind"]))
    label, colon, value = words.partition(": ")
    if colon and label in labels and words.endswith("."):
        if words == Says.NOTHING.in_english(label=label):
            return Says.NOTHING.said(label=_capital(str(labels[label])))
        value = value.removesuffix(".")
        # Only the kind is chosen from what is ours; anything else was typed.
        value = label_retold(value, KINDS.values()) if label == kind else value
        return Says.CHANGED.said(label=_capital(str(labels[label])), value=value)
    messages = [Says.BEGUN, Says.PUT_IN, Says.TAKEN_OUT, Says.MOVED, Says.REPLACED]
    return retold(
        words,
        [each.value for each in messages],
        want=_want_retold,
        before=lambda want: _capital(_want_retold(want[:1].lower() + want[1:])),
        after=_want_retold,
    )


def _want_retold(want: str) -> str:
    level, colon, _words = want.partition(": “")
    if colon and level_retold(level) != level:
        return retold(want, [OfWant.IN_WORDS.value], level=level_retold)
    # Before anything else: what was said with it may look like a want itself.
    with_words = retold(want, [OfWant.AND_WORDS.value], want=_want_retold)
    if with_words != want:
        return with_words
    return OfWant.retold(want, inputs=inputs_retold, like=inputs_retold)


def level_retold(level: str) -> str:
    return label_retold(level, LEVELS.values())


def inputs_retold(inputs: str) -> str:
    return each_retold(inputs, lambda name: retold(name, [ALL_OF]))
