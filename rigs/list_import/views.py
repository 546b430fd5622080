"""Import an input list: upload, say what the columns are, look at every row, confirm."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.words import apart
from core.models import Show
from core.views.pages import form_page
from rigs.changes.reasons import NO_REASON, ReasonRequired
from rigs.list_import import services
from rigs.list_import.account import Account
from rigs.list_import.asked import asked_of
from rigs.list_import.forms import (
    DayReasonForm,
    ListFileForm,
    MappingForm,
    NoReasonForm,
    ReasonForm,
    choices_in,
    mended_in,
)
from rigs.lists.paging import page_of
from rigs.models import Device, ListImport, Revision
from rigs.revisions.record import Conflict
from rigs.shows.services import RETIRED_SHOW
from rigs.shows.views import find_show

MENDED = gettext_lazy("What you typed is read. Look at the rows once more, then confirm.")
NOTHING = gettext_lazy("Nothing had to change.")


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def upload(request: ProductionRequest) -> HttpResponse:
    return _upload(request, None, _("Import an input list"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def upload_for_show(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    if show.is_retired:
        messages.warning(request, RETIRED_SHOW)
        return redirect(_list_of(request, show))
    return _upload(request, show, _("Import a list for this show"))


def _upload(request: ProductionRequest, show: Show | None, heading: str) -> HttpResponse:
    form = ListFileForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            list_import = services.import_list(
                production=request.production,
                by=request.user,
                name=file.name,
                data=file.read(),
                show=show,
            )
        except ValueError as error:
            form.add_error("file", str(error))
        else:
            return redirect("rigs:list_import", request.production.pk, list_import.pk)
    return form_page(
        request,
        form,
        heading=heading,
        submit=_("Look at its rows"),
        active_nav="tour" if show else "rigs",
        cancel_url=_list_of(request, show),
        template="rigs/list_import/upload.html",
        show=show,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def look(request: ProductionRequest, import_id: UUID) -> HttpResponse:
    """?rows=changing or faulty leaves out the others; ?page= is the next of them."""
    lists = ListImport.objects.select_related("show__leg__production")
    imported = get_object_or_404(lists, pk=import_id, production=request.production)
    back = _list_of(request, imported.show)
    if imported.applied_at is not None:
        messages.info(request, services.DONE_ALREADY)
        return redirect(back)
    posted = request.POST if request.method == "POST" else None
    mapping = MappingForm(imported, posted if posted and MappingForm.is_sent(posted) else None)
    kept = posted is not None and _keep(imported, posted)
    if mapping.is_bound and not (mapping.is_valid() and _remapped(imported, mapping)):
        posted = None
    elif posted is not None and "confirm" not in posted:
        return redirect(request.get_full_path())
    preview = services.preview(imported)
    reason = _reason_form(imported, preview, posted)
    if kept and reason.is_bound and posted and posted.get("seen") != preview.seen:
        reason.add_error(None, MENDED)
    if posted is not None and reason.is_valid() and _applied(request, imported, reason):
        return redirect(back)
    account = Account(imported, preview)
    context = {
        "list_import": imported,
        "mapping": mapping,
        "unknown_columns": mapping.unknown(account),
        "needs_names": "name" not in imported.mapping.values(),
        "account": account,
        "reason": reason,
        "preview": preview,
        "in_short": _in_short(preview),
        "making": preview.making,
        "back": back,
        "show": imported.show,
        "principles": Device.Principle.choices,
        "active_nav": "tour" if imported.show else "rigs",
        **_rows(request, preview, imported),
    }
    return render(request, "rigs/list_import/import.html", context)


def _in_short(preview: services.Preview) -> str:
    """How much would change, in a sentence."""
    rigs, devices = len(preview.new_rigs), len(preview.new_devices)
    if rigs and devices:
        said = _(
            "{inputs} would change or be new, in {rigs}, with {devices}; {unchanged} would not."
        )
    elif rigs:
        said = _("{inputs} would change or be new, in {rigs}; {unchanged} would not.")
    elif devices:
        said = _("{inputs} would change or be new, with {devices}; {unchanged} would not.")
    else:
        said = _("{inputs} would change or be new; {unchanged} would not.")
    return said.format(
        inputs=_inputs_counted(len(preview.changing)),
        rigs=ngettext("{n} new rig", "{n} new rigs", rigs).format(n=rigs),
        devices=ngettext("{n} new microphone or DI", "{n} new microphones or DIs", devices).format(
            n=devices
        ),
        unchanged=preview.unchanged,
    )


def _keep(list_import: ListImport, data: QueryDict) -> bool:
    """Before anything can be refused, so that what was typed is there again; whether it is new."""
    before = list_import.mended, list_import.making
    mended, making = mended_in(data.dict()), choices_in(data.dict())
    if mended or making:
        services.mend(list_import=list_import, mended=mended, making=making)
    return before != (list_import.mended, list_import.making)


def _reason_form(
    list_import: ListImport, preview: services.Preview, posted: QueryDict | None
) -> forms.Form:
    """Bound where somebody confirms; without fields where no reason is needed."""
    data = posted if posted is not None and "confirm" in posted else None
    if list_import.show is not None:
        return DayReasonForm(data)
    return ReasonForm(data) if preview.needs_reason else NoReasonForm(data)


def _rows(
    request: ProductionRequest, preview: services.Preview, list_import: ListImport
) -> dict[str, Any]:
    """One page of the rows that are asked for."""
    only = request.GET.get("rows", "")
    kinds = {"changing": preview.changing, "faulty": preview.faulty}
    only = only if only in kinds else ""
    page = page_of(kinds.get(only, preview.rows), request.GET)
    return {"only": only, "page": page, "asked": asked_of(preview.faulty, list_import)}


def _list_of(request: ProductionRequest, show: Show | None) -> str:
    """The list that a file is uploaded for."""
    if show is not None:
        return reverse("rigs:show_inputs", args=[request.production.pk, show.pk])
    return reverse("rigs:input_list", args=[request.production.pk])


def _remapped(list_import: ListImport, form: MappingForm) -> bool:
    try:
        services.remap(list_import=list_import, mapping=form.mapping())
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True


def _applied(request: ProductionRequest, list_import: ListImport, form: forms.Form) -> bool:
    # Never None: whoever confirms from a page must name what was shown there.
    seen = str(request.POST.get("seen", ""))
    try:
        messages.success(request, _apply(request, list_import, form, seen))
    except (ReasonRequired, Conflict) as error:
        form.add_error(None, str(error))
        return False
    except ValidationError as error:
        form.add_error(None, apart(error.messages))
        return False
    return True


def _told(done: list[Revision]) -> str:
    if not done:
        return str(NOTHING)
    new = sum(revision.number == 1 for revision in done)
    made = ngettext("{n} rig made", "{n} rigs made", new).format(n=new)
    changed = len(done) - new
    mended = ngettext("{n} rig changed", "{n} rigs changed", changed).format(n=changed)
    said = [words for n, words in ((new, made), (changed, mended)) if n]
    return _("Imported: {what}.").format(what=_(", ").join(said))


def _apply(request: ProductionRequest, list_import: ListImport, form: forms.Form, seen: str) -> str:
    """What was done, in words."""
    if not isinstance(form, DayReasonForm):
        reason = form.reason() if isinstance(form, ReasonForm) else NO_REASON
        done = services.apply(list_import=list_import, by=request.user, reason=reason, seen=seen)
        return _told(done)
    count = services.apply_to_show(
        list_import=list_import,
        by=request.user,
        seen=seen,
        why=form.cleaned_data["why"],
        words=form.cleaned_data["words"],
    )
    if not count:
        return str(NOTHING)
    return _("Noted for {show}: {inputs}. The rigs stay as they are.").format(
        show=list_import.show, inputs=_inputs_counted(count)
    )


def _inputs_counted(count: int) -> str:
    return ngettext("{n} input", "{n} inputs", count).format(n=count)
