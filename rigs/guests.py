"""What of rigs and shows a guest can be given to read, and which addresses that opens."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain
from typing import TYPE_CHECKING, Any
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.access.guest import Opened
from core.access.policy import Action
from core.models import Leg, Production, Show
from core.places import Shared
from core.routes import address_of
from rigs.models import Input, Photo, Rig, Unit
from rigs.places import RIG_SOUNDS
from rigs.shows.rigs import played_at

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


PAGE = Opened()
PAPER = Opened(passes=frozenset({"paper"}), file=True)
PICTURE = Opened(passes=frozenset({"size"}), file=True)
FORMATS = ("pdf", "csv", "xlsx")


def shared(production: Production, kind: str, subject: UUID, parts: Sequence[str]) -> Shared | None:
    """A rig, what a show has, or the backline of a leg."""
    if kind == "rig":
        return _rig(production, subject)
    if kind == "leg-backline":
        return _leg_backline(production, subject)
    if kind not in OF_SHOWS:
        return None
    shows = Show.objects.select_related("leg").filter(leg__production=production, retired_at=None)
    show = shows.filter(pk=subject).first()
    return OF_SHOWS[kind](production, show) if show else None


def _rig(production: Production, subject: UUID) -> Shared | None:
    rigs = Rig.objects.select_related("player").filter(production=production, retired=False)
    rig = rigs.filter(pk=subject).first()
    if rig is None:
        return None
    opens = of_rigs(production, [rig.pk])
    start = address_of("rigs:rig", production.pk, rig.pk)
    return Shared("rig", f"{rig}, {rig.player}", start, opens)


def of_rigs(production: Production, rigs: Iterable[UUID]) -> dict[str, Opened]:
    """The pages of rigs and of their units, inputs and photos, with pictures and sounds. Four
    queries, however many rigs."""
    wanted = list(rigs)

    def at(name: str, *more: Any) -> str:
        return address_of(name, production.pk, *more)

    opens = {at("rigs:rig", rig): Opened(passes=frozenset({"scene"})) for rig in wanted}
    for name, model in (("rigs:unit", Unit), ("rigs:input", Input), ("rigs:photo", Photo)):
        for rig, part in _live(model, wanted):
            opens[at(name, rig, part)] = PAGE
            if model is Photo:
                opens[at("rigs:photo_file", rig, part)] = PICTURE
    sounds = chain.from_iterable(RIG_SOUNDS.call(production, wanted))
    return opens | {sound: Opened(file=True) for sound in sounds}


def _live(model: Any, rigs: list[UUID]) -> list[tuple[UUID, UUID]]:
    rows = model.objects.filter(rig__in=rigs, retired=False).order_by("rig", "position", "pk")
    return list(rows.values_list("rig", "pk"))


def _rigs_of_show(production: Production, show: Show) -> Shared:
    playing = played_at([show])[show.pk]
    start = address_of("rigs:show_playing", production.pk, show.pk)
    opens = {start: PAGE, **of_rigs(production, sorted(playing))}
    return Shared(
        _("rigs of a show"), _("Rigs, {show}").format(show=show), start, opens, show.held_on
    )


def _list(
    what: StrOrPromise, title: StrOrPromise, name: str, file: str, *passes: str
) -> Callable[[Production, Show], Shared]:
    """A page of a show with its prints and files."""

    def of(production: Production, show: Show) -> Shared:
        start = address_of(name, production.pk, show.pk)
        taken = frozenset(passes)
        paper = Opened(passes=taken | {"paper"}, file=True)
        files = {_file(file, production, show, each): paper for each in FORMATS}
        opens = {start: Opened(passes=taken), **files}
        asks = ASKED.get(name)
        titled = title.format(show=show)
        return Shared(str(what), titled, start, opens, show.held_on, asks=asks)

    return of


def _file(name: str, production: Production, of: Show | Leg, format: str) -> str:
    return address_of(name, production.pk, of.pk, format)


def _plot(production: Production, show: Show) -> Shared:
    start = address_of("rigs:show_plot", production.pk, show.pk)
    opens = {start: PAGE, address_of("rigs:show_plot_sheet", production.pk, show.pk): PAPER}
    return Shared(
        _("stage plot"), _("Stage plot, {show}").format(show=show), start, opens, show.held_on
    )


def _set(production: Production, show: Show) -> Shared:
    start = address_of("core:show_set", production.pk, show.pk)
    prints = ("rigs:set_floor_pdf", "rigs:set_desk_pdf")
    papers = {address_of(name, production.pk, show.pk): PAPER for name in prints}
    return Shared(
        _("set"), _("Set, {show}").format(show=show), start, {start: PAGE, **papers}, show.held_on
    )


def _run_sheet(production: Production, show: Show) -> Shared:
    start = address_of("rigs:run_sheet", production.pk)
    only = {"show": str(show.pk)}
    paper = Opened(only, frozenset({"paper", "player"}), file=True)
    opens = {
        start: Opened(only, frozenset({"player"})),
        address_of("rigs:run_sheet_pdf", production.pk): paper,
    }
    return Shared(
        _("run sheet"), _("Run sheet, {show}").format(show=show), start, opens, show.held_on
    )


def _leg_backline(production: Production, subject: UUID) -> Shared | None:
    leg = production.legs.filter(pk=subject, retired_at=None).first()
    if leg is None:
        return None
    start = address_of("rigs:leg_backline", production.pk, leg.pk)
    files = {_file("rigs:leg_backline_file", production, leg, each): PAPER for each in FORMATS}
    opens = {start: PAGE, **files}
    return Shared(
        _("backline specification"), _("Backline, {leg}").format(leg=leg), start, opens, leg.ends_on
    )


# What can be answered by whoever gets it, and by which members otherwise.
ASKED: dict[str, Action] = {
    "rigs:show_backline": Action.ANSWER_BACKLINE,
    "rigs:show_patch": Action.ACKNOWLEDGE,
}
OF_SHOWS: Mapping[str, Callable[[Production, Show], Shared]] = {
    "show-rigs": _rigs_of_show,
    "inputs": _list(
        gettext_lazy("input list"),
        gettext_lazy("Input list, {show}"),
        "rigs:show_inputs",
        "rigs:show_inputs_file",
        "page",
    ),
    "patch": _list(
        gettext_lazy("patch"),
        gettext_lazy("Patch, {show}"),
        "rigs:show_patch",
        "rigs:show_patch_file",
        "by",
    ),
    "plot": _plot,
    "set": _set,
    "run-sheet": _run_sheet,
    "backline": _list(
        gettext_lazy("backline specification"),
        gettext_lazy("Backline specification, {show}"),
        "rigs:show_backline",
        "rigs:show_backline_file",
    ),
}
