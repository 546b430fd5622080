"""The history of a rig: the list of changes, one state, two states compared, going back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.words import apart, leading
from core.numbers import whole_number
from core.views.pages import posted
from rigs.changes.edits import Snapshot
from rigs.changes.reasons import ReasonRequired
from rigs.editing.pages import find_rig
from rigs.editing.swaps import in_words
from rigs.history import listing
from rigs.history.forms import CompareRevisionsForm, HistoryFilter, RestoreForm
from rigs.history.restore import ChangedSince, restore_as_shown
from rigs.models import Rig
from rigs.places import LAST_SIGNED, REVISION
from rigs.revisions import read
from rigs.revisions.record import Conflict
from rigs.revisions.swaps import swaps_of_restoring
from rigs.wording import describe, describe_between, grouped, snapshot_view


@require_safe
@production_view(Action.READ)
def history(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    filters = HistoryFilter(request.GET, rig=rig)
    page = listing.page(
        listing.filtered(rig, **filters.chosen()),
        before=_number(request, "before"),
        after=_number(request, "after"),
    )
    return _show(
        request,
        "rigs/history/history.html",
        rig,
        filters=filters,
        entries=page.entries,
        pair=_pair(page.entries),
        signed=LAST_SIGNED.first(rig),
        compare_form=CompareRevisionsForm(None, rig=rig),
        is_filtered=any(filters.chosen().values()),
        newer_url=_turn(request, after=page.newer_after),
        older_url=_turn(request, before=page.older_before),
    )


def _pair(entries: Sequence[listing.HistoryEntry]) -> tuple[int, int] | None:
    """The numbers of the two newest changes listed, the earlier one first, if there are two."""
    numbers = [entry.revision.number for entry in entries[:2]]
    return (numbers[1], numbers[0]) if len(numbers) == 2 else None


def _number(request: ProductionRequest, name: str) -> int | None:
    text = request.GET.get(name, "")
    if not text:
        return None
    number = whole_number(text)
    if number is None:
        raise Http404(_("There is no such place in the history."))
    return number


def _turn(request: ProductionRequest, **where: int | None) -> str:
    ((name, number),) = where.items()
    if number is None:
        return ""
    query = request.GET.copy()
    for key in ("before", "after"):
        query.pop(key, None)
    query[name] = str(number)
    return f"?{query.urlencode()}"


@require_safe
@production_view(Action.READ)
def revision(request: ProductionRequest, rig_id: UUID, number: int) -> HttpResponse:
    rig = find_rig(request, rig_id)
    state = _state(rig, number)
    made = read.revision(rig, number)
    before = read.as_of(rig, number - 1) if number > 1 else None
    return _show(
        request,
        "rigs/history/revision.html",
        rig,
        revision=made,
        groups=grouped(describe(rig, made.changes.all())),
        rig_view=snapshot_view(rig, state, before=before),
        is_newest=number == rig.head_number,
        past=True,
        signed=LAST_SIGNED.first(rig),
        panels=REVISION.call(request, made),
    )


@require_safe
@production_view(Action.READ)
def compare(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    newest = rig.head_number
    form = CompareRevisionsForm(request.GET or {"a": max(1, newest - 1), "b": newest}, rig=rig)
    if not form.is_valid():
        return _show(request, "rigs/history/compare.html", rig, form=form)
    a, b = form.cleaned_data["a"], form.cleaned_data["b"]
    before, after = read.as_of(rig, a), read.as_of(rig, b)
    return _show(
        request,
        "rigs/history/compare.html",
        rig,
        form=form,
        a=a,
        b=b,
        groups=grouped(describe_between(rig, before, after)),
        compared=True,
        rig_view=snapshot_view(rig, after, before=before),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def restore(request: ProductionRequest, rig_id: UUID, number: int) -> HttpResponse:
    rig = find_rig(request, rig_id)
    state = _state(rig, number)
    form = _restore_form(request, rig, state)
    if form.is_valid() and _restore(request, form, rig, number):
        return redirect(rig)
    # The page shows the state that the next press confirms, which somebody may have changed.
    rig.refresh_from_db()
    return _show(
        request,
        "rigs/history/restore.html",
        rig,
        form=form,
        number=number,
        revision=read.revision(rig, number),
        groups=grouped(describe_between(rig, read.live(rig), state)),
    )


def _restore_form(request: ProductionRequest, rig: Rig, state: Snapshot) -> RestoreForm:
    return RestoreForm(
        posted(request),
        initial={"seen": rig.head_number},
        swaps=swaps_of_restoring(rig, read.live(rig), state),
    )


def _restore(request: ProductionRequest, form: RestoreForm, rig: Rig, number: int) -> bool:
    try:
        made = restore_as_shown(
            rig,
            number,
            seen=form.cleaned_data["seen"],
            author=request.user,
            reason=form.reason(),
            decided=form.decided(),
        )
    except ReasonRequired as needed:
        form.add_error(form.reason_field(), str(needed))
    except (ChangedSince, Conflict) as late:
        form.show_again_from(Rig.objects.get(pk=rig.pk).head_number, str(late))
    except ValidationError as error:
        form.add_error(None, error.messages)
    else:
        messages.success(
            request,
            _restored(form, rig, number, made.number)
            if made
            else _("“{rig}” was as after change {number} already. Nothing changed.").format(
                rig=rig, number=number
            ),
        )
        return True
    return False


def _restored(form: RestoreForm, rig: Rig, number: int, made: int) -> str:
    """With what was decided on inputs that got another device by it."""
    decided = [leading(swap.name, in_words(form.decided_on(swap.part))) for swap in form.swaps]
    if decided:
        words = _(
            "“{rig}” is as it was after change {number} again, with {decided}. That is change "
            "{made}."
        )
    else:
        words = _("“{rig}” is as it was after change {number} again. That is change {made}.")
    return words.format(rig=rig, number=number, made=made, decided=apart(decided))


def _state(rig: Rig, number: int) -> Snapshot:
    """The rig after change `number`; a number it never had is a page that is not there."""
    try:
        # as_of takes 0 for the empty rig, which is no change and has no page.
        return read.as_of(rig, number or -1)
    except read.NoSuchRevision as missing:
        raise Http404(str(missing)) from None


def _show(request: ProductionRequest, template: str, rig: Rig, **context: Any) -> HttpResponse:
    return render(request, template, {"rig": rig, "active_nav": "rigs", **context})
