"""Import an input list: upload, say what the columns are, look at every row, confirm."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Show
from core.views.pages import form_page
from rigs.changes.reasons import ReasonRequired
from rigs.list_import import services
from rigs.list_import.forms import DayReasonForm, ListFileForm, MappingForm, ReasonForm
from rigs.lists.paging import page_of
from rigs.models import ListImport
from rigs.revisions.record import Conflict
from rigs.shows.services import RETIRED_SHOW
from rigs.shows.views import find_show


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def upload(request: ProductionRequest) -> HttpResponse:
    return _upload(request, None, "Import an input list")


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def upload_for_show(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    if show.is_retired:
        messages.warning(request, RETIRED_SHOW)
        return redirect(_list_of(request, show))
    return _upload(request, show, "Import a list for this show")


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
        submit="Look at its rows",
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
    mapping = MappingForm(imported, posted if posted and "remap" in posted else None)
    asked = DayReasonForm if imported.show else ReasonForm
    reason = asked(posted if posted and "confirm" in posted else None)
    if mapping.is_bound and mapping.is_valid() and _remapped(imported, mapping):
        return redirect("rigs:list_import", request.production.pk, imported.pk)
    if reason.is_bound and reason.is_valid() and _applied(request, imported, reason):
        return redirect(back)
    preview = services.preview(imported)
    context = {
        "list_import": imported,
        "mapping": mapping,
        "reason": reason,
        "preview": preview,
        "back": back,
        "show": imported.show,
        "active_nav": "tour" if imported.show else "rigs",
        **_rows(request, preview),
    }
    return render(request, "rigs/list_import/import.html", context)


def _rows(request: ProductionRequest, preview: services.Preview) -> dict[str, Any]:
    """One page of the rows that are asked for."""
    only = request.GET.get("rows", "")
    kinds = {"changing": preview.changing, "faulty": preview.faulty}
    only = only if only in kinds else ""
    return {"only": only, "page": page_of(kinds.get(only, preview.rows), request.GET)}


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
        form.add_error(None, "; ".join(error.messages))
        return False
    return True


def _apply(request: ProductionRequest, list_import: ListImport, form: forms.Form, seen: str) -> str:
    """What was done, in words."""
    if isinstance(form, ReasonForm):
        done = services.apply(
            list_import=list_import, by=request.user, reason=form.reason(), seen=seen
        )
        if not done:
            return "Nothing had to change."
        return f"Imported: {len(done)} rig{'s' if len(done) > 1 else ''} changed."
    count = services.apply_to_show(
        list_import=list_import,
        by=request.user,
        seen=seen,
        why=form.cleaned_data["why"],
        words=form.cleaned_data["words"],
    )
    if not count:
        return "Nothing had to change."
    inputs = f"{count} input{'s' if count > 1 else ''}"
    return f"Noted for {list_import.show}: {inputs}. The rigs stay as they are."
