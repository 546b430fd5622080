"""What a handover says to all who may read it alike, rendered by section, once, and kept.

Nothing here knows the request: who reads, what they have read, what was asked and every form stand
around it (notes.handover.pages). What the page of a handover says on top of that, in plain data, is
kept with it, so that the content itself is only read to render it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, gettext, ngettext_lazy

from core.kept.shelf import Shelf
from core.models import Leg
from core.one_pass import once_a_pass, one_pass
from notes.handover import short as shortening
from notes.handover.content import GENERAL, content_of, outline_of
from notes.handover.drawings import with_covers, with_drawings
from notes.handover.in_language import in_language
from notes.handover.in_words import between_in_words
from notes.handover.orders import Order
from notes.handover.pace import minutes
from notes.handover.progress import PublishedSection, parts_from
from notes.handover.publish import between, read
from notes.handover.state import HandoverRecords, find, state_of
from notes.models import PublishedHandover

Plain = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Way:
    """How a handover is read, by whom: `sections` are the only ones, where there are any; a
    `writer` is shown where words are missing."""

    order: Order
    long: bool
    sections: Sequence[str] = ()
    guest: bool = False
    writer: bool = False

    def names(self) -> list[object]:
        """All that what is said depends on, besides the handover."""
        sections = ",".join(self.sections)
        return [get_language(), self.order.key, self.long, sections, self.guest, self.writer]


@dataclass(frozen=True, slots=True)
class Said:
    """`head` is who handed over what when; `brief` and `whole` are how many words the two versions
    have; `html` is each section by its key."""

    head: Plain
    brief: int
    whole: int
    left_out: str
    cautions: SafeString  # above all sections of the ten-minute version
    html: dict[str, SafeString]
    instruments: dict[str, str]
    outline: list[Plain]

    @property
    def brief_minutes(self) -> int:
        return minutes(self.brief)

    @property
    def whole_minutes(self) -> int:
        return minutes(self.whole)


@dataclass(frozen=True, slots=True)
class OfSection:
    """What is shown of one section."""

    part: PublishedSection

    @property
    def key(self) -> str:
        return self.part.key

    @property
    def title(self) -> str:
        return str(self.part.title)


@dataclass(frozen=True, slots=True)
class _Section(OfSection):
    """A section as its templates have it."""

    data: Plain


def copy_said(shelf: Shelf, leg: Leg, way: Way) -> Said:
    """What the working copy says, until something is written in the production."""
    asked = [leg.pk, *way.names()]
    return _said(shelf.get("handover copy", asked, partial(_of_copy, shelf, leg, way)))


def copy_content(shelf: Shelf, leg: Leg) -> Plain:
    """What would be published of `leg` now, in plain data and in English."""
    content: Plain = shelf.get("handover content", [leg.pk], lambda: content_of(find(leg)))
    return content


def _of_copy(shelf: Shelf, leg: Leg, way: Way) -> Plain:
    with one_pass():
        content = copy_content(shelf, leg)
        outline, only_these = outline_of(content), way.sections
        telling = Telling(content, outline, leg, published=False, only_these=only_these)
        return telling.in_a_way(way)


def published_said(
    shelf: Shelf, published: PublishedHandover, way: Way, telling: Telling | None = None
) -> Said:
    """What was published, for good. `telling` is of it in this language, for several ways."""
    asked = [published.pk, published.digest, *way.names()]
    make = partial(_of_published, published, way, telling)
    return _said(shelf.get("handover", asked, make, lasting=True))


def _of_published(published: PublishedHandover, way: Way, telling: Telling | None) -> Plain:
    with one_pass():
        return (telling or telling_of(published, way.sections)).in_a_way(way)


def telling_of(published: PublishedHandover, sections: Sequence[str] = ()) -> Telling:
    leg = published.handover.leg
    return Telling(read(published), published.sections, leg, published=True, only_these=sections)


def since_said(shelf: Shelf, published: PublishedHandover) -> SafeString:
    """What is different now from what was published, until something is written."""
    asked = [published.pk, published.digest, get_language()]
    kept = shelf.get("handover since", asked, partial(_since, published))
    return SafeString(kept)  # rendered by our template


def _since(published: PublishedHandover) -> str:
    place = published.handover.leg.production
    shown = {"differences": since(published), "production": place, "published": True}
    return render_to_string("notes/handover/_since.html", shown)


def since(published: PublishedHandover) -> Plain | None:
    """What is different now from what was published, in the language of the reader."""
    here = _found(published.handover.leg)
    return between_in_words(between(read(published), state_of(here), here.rigs))


@once_a_pass
def _found(leg: Leg) -> HandoverRecords:
    return find(leg)


class Telling:
    """A handover in the language of the reader, from which it is rendered in every order and
    length: what is the same for several of them is made once."""

    def __init__(
        self,
        content: Plain,
        outline: list[Plain],
        leg: Leg,
        *,
        published: bool,
        only_these: Sequence[str] = (),
    ) -> None:
        self.leg, self.outline, self.published = leg, outline, published
        self.parts = parts_from(outline)
        if only_these:
            content, self.parts = only(only_these, content, self.parts)
        self.content = in_language(content)
        self._briefs: dict[str, shortening.Version] = {}

    @cached_property
    def whole(self) -> shortening.Version:
        return shortening.full(self.content)

    @cached_property
    def drawn(self) -> Plain:
        """Drawings take queries and room, so only the full version has them."""
        return with_drawings(self.whole.content)

    def brief(self, order: Order) -> shortening.Version:
        steps = shortening.steps_of(order)
        if steps not in self._briefs:
            self._briefs[steps] = shortening.short(self.content, order)
        return self._briefs[steps]

    def in_a_way(self, way: Way) -> Plain:
        brief = self.brief(way.order)
        version = self.whole if way.long else brief
        shown = self.drawn if way.long else with_covers(brief.content, self.content)
        data = {GENERAL: shown[GENERAL], **{each["key"]: each for each in shown["sections"]}}
        context = {
            "production": self.leg.production,
            "leg": self.leg,
            "content": version.content,
            "order": way.order,
            "long": way.long,
            "guest": way.guest,
            "published": self.published,
            "may_write": way.writer,
        }
        players = self.content["sections"]
        head = ("number", "at", "by", "period", "leg")
        return {
            "head": {name: self.content.get(name) for name in head},
            "brief": brief.words,
            "whole": self.whole.words,
            "left_out": left_out(version.left_out),
            "cautions": "" if way.long else _cautions(shown[GENERAL]),
            "html": {
                each.key: _frozen(_Section(each, data[each.key]), context) for each in self.parts
            },
            "instruments": {each["key"]: each["player"]["instrument"] for each in players},
            "outline": self.outline,
        }


def _cautions(general: Plain) -> str:
    return render_to_string("notes/handover/_cautions_first.html", {"general": general})


def _frozen(section: _Section, context: Plain) -> str:
    return render_to_string("notes/handover/_frozen.html", {**context, "section": section})


def _said(kept: Plain) -> Said:
    # All of it was rendered by our templates, which escape what people wrote.
    html = {key: mark_safe(each) for key, each in kept["html"].items()}  # noqa: S308
    return Said(**{**kept, "html": html, "cautions": mark_safe(kept["cautions"])})  # noqa: S308


def only(
    keys: Iterable[str], content: Plain, parts: list[PublishedSection]
) -> tuple[Plain, list[PublishedSection]]:
    """What is said in the sections named, and nothing of the others: whatever stands beside
    sections is of the general one."""
    kept = set(keys)
    general = content[GENERAL] if GENERAL in kept else {}
    leg = content["leg"] if GENERAL in kept else {**content["leg"], "shows": [], "notes": ""}
    sections = [each for each in content["sections"] if each["key"] in kept]
    shown = {**content, GENERAL: general, "leg": leg, "sections": sections}
    return shown, [each for each in parts if each.key in kept]


# What `cut` counts, in words.
_LEFT_OUT = {
    "changes": ngettext_lazy("{n} change", "{n} changes", "n"),
    "open notes": ngettext_lazy("{n} open note", "{n} open notes", "n"),
    "open trials": ngettext_lazy("{n} open trial", "{n} open trials", "n"),
    "rejected alternatives": ngettext_lazy(
        "{n} rejected alternative", "{n} rejected alternatives", "n"
    ),
    "findings": ngettext_lazy("{n} finding", "{n} findings", "n"),
    "photos": ngettext_lazy("{n} photo", "{n} photos", "n"),
    "cables": ngettext_lazy("{n} cable", "{n} cables", "n"),
    "settings": ngettext_lazy("{n} setting", "{n} settings", "n"),
    "figures": ngettext_lazy("{n} figure", "{n} figures", "n"),
    "spares": ngettext_lazy("{n} spare", "{n} spares", "n"),
    "units": ngettext_lazy("{n} unit", "{n} units", "n"),
    "signatures": ngettext_lazy("{n} signature", "{n} signatures", "n"),
    "details of inputs": ngettext_lazy("{n} detail of an input", "{n} details of inputs", "n"),
    "places of microphones": ngettext_lazy(
        "{n} place of a microphone", "{n} places of microphones", "n"
    ),
    "places of units": ngettext_lazy("{n} place of a unit", "{n} places of units", "n"),
    "crew notes": ngettext_lazy("{n} crew note", "{n} crew notes", "n"),
    "sounds in the player’s words": ngettext_lazy(
        "{n} sound in the player’s words", "{n} sounds in the player’s words", "n"
    ),
    "scenes": ngettext_lazy("{n} scene", "{n} scenes", "n"),
    "songs": ngettext_lazy("{n} song", "{n} songs", "n"),
    "places in the kit": ngettext_lazy("{n} place in the kit", "{n} places in the kit", "n"),
    "lines on records": ngettext_lazy("{n} line on a record", "{n} lines on records", "n"),
    "monitor mixes": ngettext_lazy("{n} monitor mix", "{n} monitor mixes", "n"),
    "lines of monitor mixes": ngettext_lazy(
        "{n} line of a monitor mix", "{n} lines of monitor mixes", "n"
    ),
    "notes on monitor mixes": ngettext_lazy(
        "{n} note on a monitor mix", "{n} notes on monitor mixes", "n"
    ),
    "marks of panels": ngettext_lazy("{n} mark of a panel", "{n} marks of panels", "n"),
}


def left_out(counted: Counter[str]) -> str:
    """“12 settings, 3 changes”, the most first."""
    return gettext(", ").join(_LEFT_OUT[what].format(n=n) for what, n in counted.most_common())
