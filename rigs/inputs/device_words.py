"""A microphone or DI in a few words: what kind it is, and its maker and name. Pure.

    dynamic cardioid, Hallam D2
    3 × condenser omni, Quarrie & Lund, Small 5
    Hallam D2, dynamic, cardioid
    active DI, Tarn Box

A piece between commas is either all words for a kind, or maker and name; what stands in quotation
marks is a name to the letter. What nobody said and was taken for granted is named in `assumed`, for
whoever looks at it before it is saved.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.languages.typed import COMMAS, Typed
from core.languages.words import one_of
from rigs.gear.makes import by_length, maker_and_model
from rigs.models import Device

MAX_LINES = 60
EXAMPLE = gettext_lazy("dynamic cardioid, Hallam D2")

_P, _T = Device.Principle, Device.Pattern
_DI, _RIBBON = "di", "ribbon"


def _spelling(words: str) -> str:
    return words.casefold().replace("-", " ").replace(".", "")


# Each word or phrase: what it speaks of, and what it says of that.
_SAID: Typed[tuple[str, Any]] = Typed(
    [
        (gettext_lazy("dynamic|moving coil"), ("kind", _P.DYNAMIC)),
        (gettext_lazy("condenser|capacitor|electret"), ("kind", _P.CONDENSER)),
        (pgettext_lazy("typed of a microphone", "ribbon"), ("kind", _RIBBON)),
        (gettext_lazy("boundary|boundary layer"), ("kind", _P.BOUNDARY)),
        (gettext_lazy("contact|contact pickup"), ("kind", _P.CONTACT)),
        (gettext_lazy("di|di box|direct box"), ("kind", _DI)),
        (pgettext_lazy("typed of a DI", "active"), ("power", True)),
        (pgettext_lazy("typed of a DI", "passive"), ("power", False)),
        (gettext_lazy("omni|omnidirectional"), ("pattern", _T.OMNI)),
        (gettext_lazy("wide cardioid|subcardioid"), ("pattern", _T.SUBCARDIOID)),
        (pgettext_lazy("typed of a microphone", "cardioid"), ("pattern", _T.CARDIOID)),
        (gettext_lazy("super|supercardioid|super cardioid"), ("pattern", _T.SUPERCARDIOID)),
        (gettext_lazy("hyper|hypercardioid|hyper cardioid"), ("pattern", _T.HYPERCARDIOID)),
        (
            gettext_lazy("figure of eight|figure of 8|figure eight|figure 8|fig 8|bidirectional"),
            (
                "pattern",
                _T.FIGURE_8,
            ),
        ),
        (pgettext_lazy("typed of a microphone", "shotgun"), ("pattern", _T.SHOTGUN)),
        (gettext_lazy("switchable|switched|multi pattern"), ("pattern", _T.SWITCHED)),
        (gettext_lazy("half space|half omni"), ("pattern", _T.HALF_OMNI)),
        (pgettext_lazy("typed of a microphone", "half cardioid"), ("pattern", _T.HALF_CARDIOID)),
        (gettext_lazy("phantom|phantom power|needs phantom"), ("phantom", True)),
        (gettext_lazy("no phantom|without phantom"), ("phantom", False)),
        (gettext_lazy("mic|microphone|box|pattern|a|an"), ("", None)),
    ],
    _spelling,
)
# Words that a page offers to be put in by a tap; all of them are read.
KINDS = (
    pgettext_lazy("offered to be typed", "dynamic"),
    pgettext_lazy("offered to be typed", "condenser"),
    pgettext_lazy("offered to be typed", "ribbon"),
    pgettext_lazy("offered to be typed", "boundary"),
    pgettext_lazy("offered to be typed", "contact"),
    pgettext_lazy("offered to be typed", "active DI"),
    pgettext_lazy("offered to be typed", "passive DI"),
)
PATTERNS = (
    pgettext_lazy("offered to be typed", "cardioid"),
    pgettext_lazy("offered to be typed", "supercardioid"),
    pgettext_lazy("offered to be typed", "hypercardioid"),
    pgettext_lazy("offered to be typed", "omni"),
    pgettext_lazy("offered to be typed", "figure 8"),
    pgettext_lazy("offered to be typed", "half cardioid"),
)
_ACTIVE = pgettext_lazy("offered to be typed", "active")
_NEEDS_IT = pgettext_lazy("offered to be typed", "phantom")
_NEEDS_NONE = pgettext_lazy("offered to be typed", "no phantom")
# Common practice, no source: what usually needs phantom power, and what has no use for it.
USUALLY_PHANTOM = (_P.CONDENSER, _P.BOUNDARY, _P.ACTIVE_RIBBON)
NEVER_PHANTOM = (_P.DYNAMIC, _P.RIBBON, _P.CONTACT, _P.DI_PASSIVE)
_COUNT = re.compile(r"^(\d{1,3})\s*[x×ｘ]\s+", re.IGNORECASE)  # noqa: RUF001
_QUOTES = "\"“”„'‘’«»「」『』"


@dataclass(frozen=True, slots=True)
class DeviceDraft:
    """A device to be made. `assumed` are sentences about what nobody said."""

    name: str
    maker: str
    principle: Device.Principle
    pattern: str = ""
    phantom: bool = False
    owned: int | None = None
    assumed: tuple[str, ...] = ()

    @property
    def form(self) -> Device.Form:
        return Device.Form.DI if self.principle.startswith("di_") else Device.Form.MIC

    @property
    def fields(self) -> dict[str, Any]:
        """The fields of the device, as its form and the API name them."""
        return {
            "name": self.name,
            "maker": self.maker,
            "form": self.form.value,
            "principle": self.principle.value,
            "pattern": self.pattern,
            "phantom": self.phantom,
            "owned": self.owned,
        }

    @property
    def rows(self) -> list[tuple[str, str]]:
        """What was understood, as heading and words."""
        what = str(self.principle.label)
        if self.form == Device.Form.MIC:
            what = f"{self.form.label}, {what}"
        return [
            (_("Name"), self.name),
            (_("Maker"), self.maker or _("not stated")),
            (_("Kind"), what),
            *([(_("Pattern"), str(_T(self.pattern).label))] if self.pattern else []),
            (_("Phantom power"), _("needs it") if self.phantom else _("does not need it")),
            *([(_("Owned"), str(self.owned))] if self.owned is not None else []),
        ]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}".strip()


def read_device(text: str, makers: Iterable[str] = ()) -> DeviceDraft:
    """Raises ValueError, in words for a form, for what says too little or contradicts itself.

    `makers` are those known to the crew, so that one of two words is recognised.
    """
    text = " ".join(text.replace("\t", ",").split())
    count = _COUNT.match(text)
    said, names = _sorted_out(text[count.end() :] if count else text)
    principle, assumed = _principle(said)
    if "pattern" in said and principle.startswith("di_"):
        raise ValueError(_("A DI has no pattern."))
    phantom, more = _phantom(said, principle)
    is_mic = not principle.startswith("di_")
    if is_mic and "pattern" not in said and principle != _P.CONTACT:
        assumed = (*assumed, _("No pattern is stated."))
    maker, name = _maker_and_name(names, makers)
    pattern = str(said["pattern"].value) if "pattern" in said else ""
    owned = int(count[1]) if count else None
    return DeviceDraft(name, maker, principle, pattern, phantom, owned, (*assumed, *more))


def _sorted_out(text: str) -> tuple[dict[str, Any], list[str]]:
    """What was said of the kind, and the pieces that are maker and name."""
    said: dict[str, Any] = {}
    names: list[str] = []
    pieces = [piece.strip() for piece in re.split(f"[{COMMAS}]", text) if piece.strip()]
    for place, piece in enumerate(pieces):
        found, rest = _kind_words(piece)
        is_kind = not rest and any(slot for _words, slot, _value in found)
        # Before the name no comma is needed: “dynamic cardioid Hallam D2”.
        leads = place == 0 and any(slot for _words, slot, _value in found)
        if piece[0] in _QUOTES or not (is_kind or leads):
            names.append(piece.strip(_QUOTES).strip())
            continue
        for words, slot, value in found:
            if slot and said.setdefault(slot, value) != value:
                raise ValueError(
                    _("“{words}” contradicts what is said before.").format(words=words)
                )
        if rest:
            names.append(rest.strip(_QUOTES).strip())
    return said, names


def _kind_words(piece: str) -> tuple[list[tuple[str, str, Any]], str]:
    """The words for a kind that a piece begins with, the longest phrases first; and the rest."""
    words, found = piece.split(), []
    while words:
        for length in range(min(_longest(), len(words)), 0, -1):
            phrase = " ".join(words[:length])
            if meant := _SAID.get(phrase):
                found.append((phrase, *meant))
                words = words[length:]
                break
        else:
            run = _unspaced().match(words[0])
            if run is None:
                break
            words[:1] = [run[0], words[0][run.end() :]]
    return found, " ".join(words)


@cache
def _longest() -> int:
    return max(len(phrase.split()) for phrase in _SAID.words)


@cache
def _unspaced() -> re.Pattern[str]:
    """A word of a language without spaces, with another right behind it."""
    return re.compile(rf"{_SAID.unspaced}(?=.)")


def _principle(said: dict[str, Any]) -> tuple[Device.Principle, tuple[str, ...]]:
    kind, power = said.get("kind"), said.get("power")
    if kind is None:
        raise ValueError(
            _("It does not say what it is: {kinds}. For example “{example}”.").format(
                kinds=one_of(KINDS), example=EXAMPLE
            )
        )
    if kind == _DI:
        if power is None:
            raise ValueError(_("A DI is active or passive: write which."))
        return (_P.DI_ACTIVE if power else _P.DI_PASSIVE), ()
    if kind == _RIBBON:
        if power:
            return _P.ACTIVE_RIBBON, ()
        # Common practice, no source: a ribbon is passive unless it is called active, and the
        # cautions of a passive one are the safe side.
        hint = _(
            "Taken as a passive ribbon, which phantom power can damage: write “{word}” if it is."
        )
        return _P.RIBBON, (() if power is False else (hint.format(word=_ACTIVE),))
    if power is not None:
        raise ValueError(_("Active and passive are said of DIs and of ribbon microphones."))
    principle: Device.Principle = kind
    return principle, ()


def _phantom(said: dict[str, Any], principle: Device.Principle) -> tuple[bool, tuple[str, ...]]:
    phantom: bool | None = said.get("phantom")
    if phantom and principle in NEVER_PHANTOM:
        said_of = _("Nothing that is “{kind}” needs phantom power.")
        raise ValueError(said_of.format(kind=principle.label))
    if phantom is not None:
        return phantom, ()
    if principle in USUALLY_PHANTOM:
        usual = _("Taken as needing phantom power, which is usual: write “{words}” if it does not.")
        return True, (usual.format(words=_NEEDS_NONE),)
    if principle == _P.DI_ACTIVE:
        fed = _("Taken as fed by a battery or the mains: write “{word}” if it needs that.")
        return False, (fed.format(word=_NEEDS_IT),)
    return False, ()


def _maker_and_name(names: Sequence[str], makers: Iterable[str]) -> tuple[str, str]:
    if len(names) > 2:
        words = _("“{piece}” is one piece more than a kind, a maker and a name.")
        raise ValueError(words.format(piece=names[2]))
    if len(names) == 2:
        maker, name = names
    elif names and " " in names[0]:
        maker, name = maker_and_model(names[0], by_length(makers))
    else:
        maker, name = "", names[0] if names else ""
    if not name:
        words = _("Its name is missing. For example “{example}”.")
        raise ValueError(words.format(example=EXAMPLE))
    for text, most in ((maker, _most("maker")), (name, _most("name"))):
        if len(text) > most:
            words = _("“{text}…” is longer than {n} characters.")
            raise ValueError(words.format(text=text[:30], n=most))
    return maker, name


def _most(field: str) -> int:
    return int(Device._meta.get_field(field).max_length or 0)  # type: ignore[union-attr]


@dataclass(frozen=True, slots=True)
class Line:
    """A line as it was written, with what was read of it or why it could not be read."""

    text: str
    draft: DeviceDraft | None = None
    wrong: str = ""


def read_lines(
    lines: Iterable[str], makers: Iterable[str] = (), there: Iterable[str] = ()
) -> list[Line]:
    """One for each line that is not blank. `there` are names with makers that exist already.

    Raises ValueError for more lines than are taken at once.
    """
    written = [line.strip() for line in lines if line.strip()]
    if len(written) > MAX_LINES:
        words = _("More than {n} at once: take them in parts.")
        raise ValueError(words.format(n=MAX_LINES))
    known, makers = {each.casefold() for each in there}, list(makers)
    read: list[Line] = []
    for text in written:
        try:
            draft = read_device(text, makers)
            if str(draft).casefold() in known:
                raise ValueError(_("“{device}” is in the list already.").format(device=draft))
        except ValueError as error:
            read.append(Line(text, wrong=str(error)))
        else:
            known.add(str(draft).casefold())
            read.append(Line(text, draft))
    return read
