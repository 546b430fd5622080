"""Versions of a mix are stored in English, and told in the language of the reader."""

from __future__ import annotations

from dataclasses import replace

from django.utils import translation

from notes.models import MixVersion
from notes.monitors.refs import ALL_OF
from notes.monitors.state import AS_LOUD, LESS, MORE, NONE, MixState, Want
from notes.monitors.words import OfWant, Says, in_words

NAMES = {"a": "9 Vox, more", "b": "1 Kick"}


def name(ref: str) -> str:
    return NAMES.get(ref) or translation.gettext(ALL_OF).format(name="Kit")


def said(one: MixState, other: MixState) -> list[str]:
    return in_words(one, other, name, {})


def test_what_a_version_changed_is_told_as_if_it_was_said_now() -> None:
    wants = (
        Want("1", MORE, ("b", "kit")),
        Want("2", NONE, ("kit",), words="no way: “loud”"),
        Want("3", AS_LOUD, ("b",), like="kit"),
        Want("4", LESS, words="of everything"),
    )
    before = MixState(name="Vox", kind="wedge", eq="less 250 Hz", wants=wants)
    after = MixState(
        name="Vox", kind="ear_mono", wants=(wants[2], replace(wants[0], level=LESS), wants[3])
    )
    for one, other in ((before, after), (after, before)):
        version = MixVersion(words=said(one, other))
        with translation.override("de"):
            assert version.told == said(one, other)
            # What was typed stays.
            assert set(version.told) & set(version.words) <= {"EQ: less 250 Hz."}


def test_what_was_typed_stays() -> None:
    version = MixVersion(words=["Begun.", "EQ: wedge.", "In words: nothing to tell"])
    with translation.override("de"):
        begun, eq, typed = version.told
        assert begun == Says.BEGUN.said()
        assert eq.endswith(": wedge.")
        assert typed == "In words: nothing to tell"
        more = OfWant.MORE.said(inputs="9 no Vox")
        assert MixVersion(words=["Taken out: more 9 no Vox."]).told == [
            Says.TAKEN_OUT.said(want=more)
        ]
