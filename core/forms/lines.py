"""Forms that take several records at once, written one a line."""

from __future__ import annotations

import re
from abc import abstractmethod
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core.forms.base import EditForm
from core.forms.tour import PlayerForm, SongForm
from core.languages.typed import COMMAS, SEMICOLONS, narrow
from core.lines import read_each
from core.models import Player, Production, Song
from core.services.ordering import next_position

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

MOST = 60
# An attribute of HTML: whoever has a page translated would get a sample that is not understood.
AS_TYPED = {"translate": "no"}


def lines_field(
    label: StrOrPromise,
    help_text: StrOrPromise,
    placeholder: StrOrPromise,
    needed: StrOrPromise,
    **attributes: str,
) -> forms.CharField:
    """A field for many lines; `needed` is said where it comes back empty. `**AS_TYPED` says that
    its placeholder is a sample of words which are read in English."""
    return forms.CharField(
        label=label,
        max_length=12_000,
        help_text=help_text,
        widget=forms.Textarea(
            {
                "rows": 12,
                "placeholder": placeholder,
                "autocomplete": "off",
                "autofocus": True,
                "spellcheck": "false",
                **attributes,
            }
        ),
        error_messages={"required": needed},
    )


class Words(NamedTuple):
    """Words that a tap writes into a field, `before` them what separates them from the others.
    They are names, or are read in English: no language of the page changes them."""

    title: str
    words: list[str]
    before: str


class Line(NamedTuple):
    """The name that a line says, and the form of one record with what the line says of it."""

    name: str
    form: EditForm


class SeveralForm(forms.Form):
    """A record for each line, checked by the form of one of them; saved together or not at all."""

    THINGS: ClassVar[StrOrPromise]
    read: list[Line]

    def __init__(self, production: Production, *args: Any, **more: Any) -> None:
        self.production = production
        super().__init__(*args, **more)

    @abstractmethod
    def added(self, made: Sequence[Any]) -> str:
        """What is told of the new records."""

    @abstractmethod
    def known(self) -> Iterable[str]:
        """The names that are taken."""

    @abstractmethod
    def form_of(self, line: str) -> tuple[str, EditForm]:
        """The name a line says, and a filled-in form of what it says."""

    def _line(self, text: str) -> Line:
        """Raises ValueError in words for a form."""
        name, form = self.form_of(text)
        if not form.is_valid():
            problems = [
                _("{label}: {problem}").format(label=form.fields[field].label, problem=message)
                if field in form.fields
                else str(message)
                for field, messages in form.errors.items()
                for message in messages
            ]
            raise ValueError(" ".join(problems))
        return Line(name, form)

    def clean_lines(self) -> str:
        text: str = self.cleaned_data["lines"]
        try:
            self.read = read_each(
                text,
                self._line,
                name_of=lambda line: line.name,
                most=MOST,
                things=str(self.THINGS),
                known=self.known(),
            )
        except ValueError as error:
            raise ValidationError(str(error).splitlines()) from None
        return text

    @transaction.atomic
    def save(self) -> list[Any]:
        """The new records, in the order of their lines, behind those that are there."""
        made = []
        among = self.read[0].form.instance._meta.model.objects.filter(production=self.production)
        for position, line in enumerate(self.read, start=next_position(among)):
            line.form.instance.position = position
            made.append(line.form.save())
        return made


class SeveralPlayersForm(SeveralForm):
    """Players, as “Ines Varga, bass”."""

    THINGS = gettext_lazy("players")
    lines = lines_field(
        gettext_lazy("Players, one a line"),
        gettext_lazy("Name, then the instrument: in the order in which they stand on stage."),
        gettext_lazy("Ines Varga, bass\nTam Okoro, guitar"),
        gettext_lazy("Write at least one player."),
    )

    def added(self, made: Sequence[Any]) -> str:
        return ngettext("{name} is added.", "{n} players are added.", len(made)).format(
            name=made[0], n=len(made)
        )

    def known(self) -> Iterable[str]:
        return self.production.players.filter(retired_at=None).values_list("name", flat=True)

    def form_of(self, line: str) -> tuple[str, EditForm]:
        cells = re.split(f"[{COMMAS}]", _tabs(line), maxsplit=1)
        name, instrument = (" ".join(cell.split()) for cell in (*cells, "")[:2])
        if not instrument:
            raise ValueError(_("Say the instrument behind a comma."))
        player = Player(production=self.production)
        return name, PlayerForm({"name": name, "instrument": instrument}, instance=player)


class SeveralSongsForm(SeveralForm):
    """Songs, as “Over the Ridge, 4:05, 96 bpm”."""

    THINGS = gettext_lazy("songs")
    lines = lines_field(
        gettext_lazy("Songs, one a line"),
        gettext_lazy(
            "In their order, with the length and the tempo where they are known. A list "
            "pasted from elsewhere may have numbers in front."
        ),
        "Over the Ridge, 4:05, 96 bpm\nSlow Ferry 3:20",
        gettext_lazy("Write at least one song."),
        **AS_TYPED,
    )

    def added(self, made: Sequence[Any]) -> str:
        return ngettext("{name} is added.", "{n} songs are added.", len(made)).format(
            name=made[0], n=len(made)
        )

    def known(self) -> Iterable[str]:
        return self.production.songs.filter(retired_at=None).values_list("title", flat=True)

    def form_of(self, line: str) -> tuple[str, EditForm]:
        values = read_song(line)
        song = Song(production=self.production)
        return values["title"], SongForm(values, instance=song)


# In front of a title: “1.”, “2)”, “03 -”. A number alone (“99 Floors”) belongs to the title.
_NUMBERED = re.compile(r"\s*\d{1,3}\s*(?:[.):．）：]|[-–—](?=\s))\s*")  # noqa: RUF001
# Behind it, after a comma, a tab, a bracket, a dash or a space.
_LENGTH = re.compile(r"(?:[\s,(]|[-–—]\s)[\s,(]*(\d{1,2}:\d{1,2}:\d{2}|\d{1,3}:\d{2})\s*\)?\s*$")
# A comma before two figures or three begins a tempo of its own: “Route 66,96 bpm”.
_TEMPO = re.compile(r"[\s,(]+(\d{1,3}(?:\.\d{1,2})?|\d{2,3},\d)\s*bpm\s*\)?\s*$", re.IGNORECASE)
_EDGES = f" \t-–—{COMMAS}{SEMICOLONS}"


def read_song(line: str) -> dict[str, str]:
    """The fields of a song that a line says, as a person would type them into its form. Pure."""
    rest, values = _tabs(line), {}
    # In any order behind the title, each once.
    for _each in range(2):
        for key, pattern in (("length_s", _LENGTH), ("tempo_bpm", _TEMPO)):
            # What is cut off is looked for among narrow marks; the title keeps its own.
            found = pattern.search(narrow(rest))
            if found and key not in values:
                values[key], rest = found[1].replace(",", "."), rest[: found.start()]
    rest = rest.strip(_EDGES)
    title = _NUMBERED.sub("", rest, count=1) if _NUMBERED.match(rest) else rest
    return {"title": " ".join((title or rest).split()), **values}


def _tabs(line: str) -> str:
    """A row copied from a spreadsheet, with commas between its cells."""
    return line.replace("\t", ", ")
