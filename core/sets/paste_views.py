"""Paste a list of titles, look at what was read, and make it the set."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple
from uuid import UUID, uuid4

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from core.access.policy import Action, allowed
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.models import Show, Song
from core.sets.order import set_of_show
from core.sets.refused import LinesRefused
from core.sets.services import SetConflict, change, make_songs, state_of, titles_of
from core.sets.state import BREAK, ENCORE, HEADING, MOST_LINES, NOTE, SONG, Line, State
from core.sets.titles import Read, read
from core.sets.views import find_show
from core.sets.words import KINDS, in_words

NO_SONG = {
    HEADING: gettext_lazy("no song: section"),
    ENCORE: gettext_lazy("no song: encore"),
    BREAK: gettext_lazy("no song: break"),
    NOTE: gettext_lazy("no song: between songs"),
}
NEW, OUT = "new", "out"  # what may be chosen for a line beside a song and a kind of line
LONGEST = 20_000


class Row(NamedTuple):
    """A line that was pasted, what can be made of it, and what is proposed or was chosen."""

    name: str
    read: Read
    choices: list[tuple[str, str]]
    chosen: str
    hint: str


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_SET)
def paste(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    found = set_of_show(show)
    text = request.POST.get("titles", "")[:LONGEST]
    version = request.POST.get("version", str(found.version))
    songs = list(Song.objects.live().filter(production=request.production).order_by("title", "pk"))
    rows = _rows(request, text, songs)
    problem = _problem(request, rows)
    if rows and not problem and "write" in request.POST:
        problem = _write(request, show, rows, version)
        if not problem:
            return redirect(within(request, "core:show_set", show.pk))
    missing = [row for row in rows if not row.chosen]
    context = {
        "show": show,
        "titles": text,
        "version": version,
        "rows": rows,
        "problem": problem,
        "missing": missing,
        "words": _preview(show, rows) if rows and not missing else [],
        "active_nav": "tour",
    }
    return render(request, "core/sets/paste.html", context)


def _rows(request: ProductionRequest, text: str, songs: list[Song]) -> list[Row]:
    titles = {str(song.pk): song.title for song in songs}
    may_make = allowed(request.member.roles, Action.EDIT_TOUR)
    rows: list[Row] = []
    for at, each in enumerate(read(text, list(titles.items()))[: MOST_LINES + 1]):
        name = f"line-{at}"
        earlier = {row.chosen for row in rows}
        proposed = each.song if each.kind == SONG else each.kind
        chosen = request.POST.get(name, proposed) if "rows" in request.POST else proposed
        choices = _choices(each, titles, may_make=may_make)
        if chosen not in dict(choices):
            chosen = ""
        rows.append(Row(name, each, choices, chosen, _hint(each, chosen, earlier, titles)))
    return rows


def _choices(each: Read, titles: dict[str, str], *, may_make: bool) -> list[tuple[str, str]]:
    first = [(key, titles[key]) for key in (each.song, *each.alike) if key]
    named = {key for key, _ in first}
    rest = [(key, title) for key, title in titles.items() if key not in named]
    new = [(NEW, _("a new song of this production"))] if may_make else []
    others = [(kind, str(NO_SONG[kind])) for kind in KINDS]
    return [*first, *new, *others, (OUT, _("leave it out")), *rest]


def _hint(each: Read, chosen: str, earlier: set[str], titles: dict[str, str]) -> str:
    if chosen in titles and chosen in earlier:
        return _("is in the list already: played once more, as a reprise")
    if chosen and chosen == each.song and not each.is_exact:
        return _("read as “{title}”").format(title=titles[chosen])
    if not chosen:
        return _("which one is meant?") if each.alike else _("no song goes by this title")
    return ""


def _problem(request: ProductionRequest, rows: list[Row]) -> str:
    if request.method != "POST":
        return ""
    if not rows:
        return _("Paste the titles first, one a line.")
    if len(rows) > MOST_LINES:
        return _("A set has {n} lines at most.").format(n=MOST_LINES)
    if "write" in request.POST and any(not row.chosen for row in rows):
        return _("Say of each line what is meant.")
    return ""


def _lines(show: Show, rows: list[Row], made: dict[str, str]) -> State:
    """The set that the list asks for. What stays keeps its notes and its length."""
    now = state_of(set_of_show(show))
    free: dict[str, list[Line]] = {}
    for line in now.lines:
        free.setdefault(line.song or f"{line.kind}:{line.title}", []).append(line)
    lines: list[Line] = []
    for row in rows:
        if row.chosen == OUT:
            continue
        is_song = row.chosen not in KINDS
        song = made.get(row.name, row.chosen) if is_song else None
        kind = SONG if is_song else row.chosen
        there = free.get(song or f"{kind}:{row.read.text}")
        line = there.pop(0) if there else Line(str(uuid4()), kind, song)
        again = is_song and any(each.song == song for each in lines)
        words = "" if is_song else row.read.text[:160]
        lines.append(replace(line, title=words, reprise=again, cut=False))
    return State(tuple(lines), now.target_s)


def _preview(show: Show, rows: list[Row]) -> list[str]:
    titles = titles_of(show.leg.production_id)
    made = {row.name: f"new {row.name}" for row in rows if row.chosen == NEW}
    named = {f"new {row.name}": row.read.text for row in rows}
    return in_words(state_of(set_of_show(show)), _lines(show, rows, made), titles | named)


def _write(request: ProductionRequest, show: Show, rows: list[Row], version: str) -> str:
    """Make it the set; what went wrong in words, empty if nothing did."""
    now = set_of_show(show)
    if version != str(now.version):
        return _(
            "Someone else changed this set meanwhile. Look at what would change now, then write it."
        )
    new = [row for row in rows if row.chosen == NEW]
    try:
        with transaction.atomic():
            songs = make_songs(request.production, [row.read.text[:160] for row in new])
            made = {row.name: str(song.pk) for row, song in zip(new, songs, strict=True)}
            wanted = _lines(show, rows, made)
            words = change(show, wanted, base=now.version, by=request.user)
    except (SetConflict, LinesRefused, ValidationError) as refused:
        return " ".join(getattr(refused, "messages", [str(refused)]))
    messages.success(request, " ".join(words) if words else _("The set is as it was."))
    return ""
