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
from typing import Any

from django.utils.translation import gettext as _

from core.languages.words import one_of
from rigs.gear.makes import by_length, maker_and_model
from rigs.models import Device

MAX_LINES = 60
EXAMPLE = "dynamic cardioid, Hallam D2"

_P, _T = Device.Principle, Device.Pattern
_DI, _RIBBON = "di", "ribbon"
# Each word or phrase: what it speaks of, and what it says of that.
_SAID: dict[str, tuple[str, Any]] = {
    **dict.fromkeys(("dynamic", "moving coil"), ("kind", _P.DYNAMIC)),
    **dict.fromkeys(("condenser", "capacitor", "electret"), ("kind", _P.CONDENSER)),
    "ribbon": ("kind", _RIBBON),
    **dict.fromkeys(("boundary", "boundary layer"), ("kind", _P.BOUNDARY)),
    **dict.fromkeys(("contact", "contact pickup"), ("kind", _P.CONTACT)),
    **dict.fromkeys(("di", "di box", "direct box"), ("kind", _DI)),
    "active": ("power", True),
    "passive": ("power", False),
    **dict.fromkeys(("omni", "omnidirectional"), ("pattern", _T.OMNI)),
    **dict.fromkeys(("wide cardioid", "subcardioid"), ("pattern", _T.SUBCARDIOID)),
    "cardioid": ("pattern", _T.CARDIOID),
    **dict.fromkeys(("super", "supercardioid", "super cardioid"), ("pattern", _T.SUPERCARDIOID)),
    **dict.fromkeys(("hyper", "hypercardioid", "hyper cardioid"), ("pattern", _T.HYPERCARDIOID)),
    **dict.fromkeys(
        ("figure of eight", "figure of 8", "figure eight", "figure 8", "fig 8", "bidirectional"),
        ("pattern", _T.FIGURE_8),
    ),
    "shotgun": ("pattern", _T.SHOTGUN),
    **dict.fromkeys(("switchable", "switched", "multi pattern"), ("pattern", _T.SWITCHED)),
    **dict.fromkeys(("half space", "half omni"), ("pattern", _T.HALF_OMNI)),
    "half cardioid": ("pattern", _T.HALF_CARDIOID),
    **dict.fromkeys(("phantom", "phantom power", "needs phantom"), ("phantom", True)),
    **dict.fromkeys(("no phantom", "without phantom"), ("phantom", False)),
    **dict.fromkeys(("mic", "microphone", "box", "pattern", "a", "an"), ("", None)),
}
# Words that a page offers to be put in by a tap; all of them are read.
KINDS = ("dynamic", "condenser", "ribbon", "boundary", "contact", "active DI", "passive DI")
PATTERNS = ("cardioid", "supercardioid", "hypercardioid", "omni", "figure 8", "half cardioid")
_LONGEST = max(len(phrase.split()) for phrase in _SAID)
# Common practice, no source: what usually needs phantom power, and what has no use for it.
USUALLY_PHANTOM = (_P.CONDENSER, _P.BOUNDARY, _P.ACTIVE_RIBBON)
NEVER_PHANTOM = (_P.DYNAMIC, _P.RIBBON, _P.CONTACT, _P.DI_PASSIVE)
_COUNT = re.compile(r"^(\d{1,3})\s*[x×]\s+", re.IGNORECASE)
_QUOTES = "\"“”„'‘’"


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
    pieces = [piece.strip() for piece in text.split(",") if piece.strip()]
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
        for length in range(min(_LONGEST, len(words)), 0, -1):
            phrase = " ".join(words[:length]).casefold().replace("-", " ").replace(".", "")
            if phrase in _SAID:
                found.append((" ".join(words[:length]), *_SAID[phrase]))
                words = words[length:]
                break
        else:
            break
    return found, " ".join(words)


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
        return _P.RIBBON, (() if power is False else (hint.format(word="active"),))
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
        return True, (usual.format(words="no phantom"),)
    if principle == _P.DI_ACTIVE:
        fed = _("Taken as fed by a battery or the mains: write “{word}” if it needs that.")
        return False, (fed.format(word="phantom"),)
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
