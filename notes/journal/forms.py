"""The form of a listening note, of a follow-up, and of settling one.

The form of a listening session.

What a new note starts with: the session of the day, who speaks, what it is about.
"""

from __future__ import annotations

from typing import Any, cast
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core import clock
from core.access.views import ProductionRequest
from core.forms.base import DateInput, EditForm
from core.models import Player, Show, User
from core.sets.order import set_of_show
from notes.form_fields import SectionChoice, sections_of, songs_at, songs_of
from notes.journal import services
from notes.memos.forms import MemoFields
from notes.models import ListeningSession, Note
from notes.photos.forms import PhotoFields
from notes.queries import inputs_of, units_of
from rigs.models import Revision, Rig

PARTS = ("inputs", "units")
# What most notes do without.
MORE = (
    "said_by_name",
    "units",
    "song",
    "section",
    "take",
    "session",
    "reading",
    "camera",
    "photos",
    "photo_caption",
)
NOBODY = {
    "song": gettext_lazy("no song in particular"),
    "section": gettext_lazy("no section in particular"),
    "session": gettext_lazy("no session"),
    "said_by_player": gettext_lazy("no musician"),
}


class NoteForm(EditForm, PhotoFields, MemoFields):
    """What was heard on one rig. The instance carries the rig and the production."""

    # While one listens, one note follows the other on the same occasion, in the same song.
    SAME_AGAIN = ("session", "song")

    section = SectionChoice(queryset=None, required=False, label=gettext_lazy("Section"))

    class Meta:
        model = Note
        fields = [
            "verdict",
            "words",
            "said_by_player",
            "said_by_name",
            "inputs",
            "units",
            "song",
            "section",
            "take",
            "reading",
            "session",
        ]
        widgets = {
            "verdict": forms.RadioSelect,
            "inputs": forms.CheckboxSelectMultiple,
            "units": forms.CheckboxSelectMultiple,
            "words": forms.Textarea(attrs={"rows": 3}),
            "reading": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "verdict": gettext_lazy("What should come of it?"),
            "said_by_player": gettext_lazy("said by"),
            "said_by_name": gettext_lazy("or somebody else, by name"),
            "inputs": gettext_lazy("heard on"),
            "units": gettext_lazy("or on a piece of gear"),
            "song": gettext_lazy("Song"),
            "session": gettext_lazy("on the occasion of"),
        }
        help_texts = {
            "words": gettext_lazy(
                "Word for word. May stay empty where the verdict and the inputs say it."
            )
        }

    def __init__(
        self, *args: Any, by: User | None = None, show: Show | None = None, **more: Any
    ) -> None:
        """`show`: where it is heard; its set then orders the songs to choose from."""
        super().__init__(*args, **more)
        self.by = by or self.instance.written_by
        self.rig: Rig = self.instance.rig
        self._offer_what_is_here()
        if show is not None and (found := set_of_show(show)).is_own:
            songs = songs_at(found, songs_of(self.rig.production))
            self.fields["song"].choices = songs  # type: ignore[attr-defined]
        if not self.instance._state.adding:
            # Photos are added on a page of their own by then; a memo comes with its note or not at
            # all.
            self.drop_photos()
            del self.fields["memo"]
        self.has_memo = not self.instance._state.adding and hasattr(self.instance, "memo")
        # Without the empty choice of a model's field, which radio buttons would show as one more
        # answer.
        self.fields["verdict"].choices = Note.Verdict.choices  # type: ignore[attr-defined]

    def _offer_what_is_here(self) -> None:
        place = self.rig.production
        sessions = ListeningSession.objects.filter(production=place)
        offered: dict[str, QuerySet[Any]] = {
            "inputs": self._with_current("inputs", inputs_of(self.rig)),
            "units": self._with_current("units", units_of(self.rig)),
            "song": songs_of(place),
            "section": sections_of(place),
            "session": sessions,
            "said_by_player": Player.objects.filter(production=place, retired_at=None),
        }
        for name, choices in offered.items():
            field = cast("forms.ModelChoiceField", self.fields[name])  # type: ignore[type-arg]
            field.queryset = choices
            if name in NOBODY:
                field.empty_label = NOBODY[name]

    def _with_current(self, name: str, live: QuerySet[Any]) -> QuerySet[Any]:
        """A note that is reworded keeps pointing at an input that was retired since."""
        if self.instance._state.adding:
            return live
        current = getattr(self.instance, name).values("pk")
        rows: QuerySet[Any] = live.model._default_manager.filter(rig=self.rig)
        return rows.filter(Q(retired=False) | Q(pk__in=current))

    @property
    def shows_more(self) -> bool:
        """Whether what most notes do without is unfolded: it is filled in, or something is wrong
        with it."""
        named = self.data if self.is_bound else self.initial
        asks = any(self.has_error(name) for name in MORE)
        return asks or not self.instance._state.adding or bool(named.get("units"))

    def heard(self) -> services.NoteContent:
        names = (*services.SCALARS, *PARTS)
        values: dict[str, Any] = {name: self.cleaned_data.get(name) for name in names}
        return services.NoteContent(
            **values,
            photos=self.pictures(),
            photo_caption=self.caption,
            memo=self.cleaned_data.get("memo"),
            has_memo=self.has_memo,
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.instance._state.adding:
            # Asked again when it is sent: a change may rest on the note since the page was made.
            services.check_editable(self.instance, self.by)
        if cleaned.get("said_by_name") and "said_by_player" not in self.changed_data:
            cleaned["said_by_player"] = None  # nobody chose the player: the form began with it
        if not self.errors:
            # Only of a form without errors, for it reads every field.
            services.check(self.rig, self.heard())
        return cleaned

    def save(self, commit: bool = True) -> Any:
        heard = self.heard()
        if self.instance._state.adding:
            self.instance = services.write_note(rig=self.rig, heard=heard, by=self.by)
        else:
            self.instance = services.reword(note=self.instance, heard=heard, by=self.by)
        return self.instance


class FollowUpForm(NoteForm):
    """A note on how a change turned out that an earlier note asked for."""

    outcome = forms.ChoiceField(
        label=gettext_lazy("How did it turn out?"),
        choices=Note.Outcome.choices,
        widget=forms.RadioSelect,
    )
    field_order = ["outcome", "verdict"]

    def __init__(self, *args: Any, revision: Revision, **more: Any) -> None:
        super().__init__(*args, **more)
        self.revision = revision
        self.fields["verdict"].label = _("And now?")

    def save(self, commit: bool = True) -> Any:
        outcome = self.cleaned_data["outcome"]
        self.instance = services.follow_up(
            revision=self.revision, heard=self.heard(), outcome=outcome, by=self.by
        )
        return self.instance


class SettleForm(forms.Form):
    settled_words = forms.CharField(
        label=gettext_lazy("why nothing needs to change"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("For instance: it was the room, gone at the next show."),
    )

    def try_settle(self, note: Note, by: User) -> bool:
        if not self.is_valid():
            return False
        try:
            services.settle(note=note, words=self.cleaned_data["settled_words"], by=by)
        except ValidationError as error:
            self.add_error(None, error)
            return False
        return True


class WriteOutForm(forms.Form):
    words = forms.CharField(
        label=gettext_lazy("what the memo says"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("Word for word. The memo stays beside it."),
    )

    def try_write_out(self, note: Note, by: User) -> bool:
        if not self.is_valid():
            return False
        try:
            services.write_out(note=note, words=self.cleaned_data["words"], by=by)
        except ValidationError as error:
            self.add_error(None, error)
            return False
        return True


class SessionForm(EditForm):
    class Meta:
        model = ListeningSession
        fields = ["name", "held_on", "show", "place", "notes"]
        labels = {
            "name": gettext_lazy("Name"),
            "show": gettext_lazy("Show"),
            "place": pgettext_lazy("where it was", "Place"),
            "notes": pgettext_lazy("remarks", "Notes"),
        }
        widgets = {"held_on": DateInput, "notes": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "name": gettext_lazy("Rehearsal, playback to the players, soundcheck …"),
            "place": gettext_lazy("Where it was, if it was at no show."),
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        shows = Show.objects.filter(leg__production=self.instance.production)
        # A show that was retired since stays the show of this session.
        live = shows.filter(retired_at=None) | shows.filter(pk=self.instance.show_id)
        cast("forms.ModelChoiceField", self.fields["show"]).queryset = live.order_by("-held_on")  # type: ignore[type-arg]


def prefill(request: ProductionRequest, rig: Rig) -> dict[str, Any]:
    """Initial values from the address (`?session=`, `?show=`, `?song=`, `?input=`, `?unit=`) and
    from who writes."""
    start: dict[str, Any] = {}
    # The surest first: a session that was named, then the show, then merely the day.
    session = asked(request, "session") or _session_at(request) or _session_of_today(request)
    if session:
        start["session"] = session
    if song := asked(request, "song"):
        start["song"] = song
    for name in ("input", "unit"):
        if part := asked(request, name):
            start[f"{name}s"] = [part]
    start["said_by_player"] = speaker(request, rig)
    return start


def speaker(request: ProductionRequest, rig: Rig) -> UUID | None:
    """The musician whose words a new note starts with.

    A member who is a musician speaks for themself, on somebody else's rig as well. What the crew
    writes down was said by the player of the rig, most of the time.
    """
    players = request.member.player_ids
    if not players or rig.player_id in players:
        return rig.player_id
    # The least, only so that it is the same one every time: a frozenset has no order.
    return min(players)


def asked(request: ProductionRequest, name: str) -> UUID | None:
    """The id that the address names, if it is one."""
    try:
        return UUID(request.GET.get(name, ""))
    except ValueError:
        return None


def show_of(request: ProductionRequest) -> Show | None:
    """The show that the address names, else that of today."""
    shows = Show.objects.filter(leg__production=request.production, retired_at=None)
    named = asked(request, "show")
    today = {"held_on": timezone.localdate(clock.now())}
    found = shows.filter(pk=named) if named else shows.filter(**today)
    return found.select_related("leg").order_by("pk").first()


def _session_at(request: ProductionRequest) -> UUID | None:
    """The newest session at the show that the address names."""
    show = asked(request, "show")
    sessions = ListeningSession.objects.filter(production=request.production, show=show)
    newest = sessions.order_by("-held_on", "-pk").values_list("pk", flat=True)
    return newest.first() if show else None


def _session_of_today(request: ProductionRequest) -> UUID | None:
    today = ListeningSession.objects.filter(
        production=request.production, held_on=timezone.localdate(clock.now())
    )
    return today.order_by("-pk").values_list("pk", flat=True).first()
