"""The input list of a production: to read, to number, to take away; and the pack list."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.lists import input_list, pack
from rigs.lists.forms import RenumberForm
from rigs.lists.on_paper import paper_rows
from rigs.lists.renumbering import NumbersClash, in_order, renumber
from rigs.lists.sheets import write_csv, write_xlsx
from rigs.models import Rig
from rigs.paper.sheets import grid_sheet, pack_sheet
from rigs.views.paper import file_name, paper_of, pdf

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def variants_asked(request: ProductionRequest) -> list[str]:
    """What the address asks for by ?variant=."""
    return [v for v in request.GET.getlist("variant") if v in pack.VARIANTS]


def variants_of(request: ProductionRequest) -> list[str]:
    """The main rigs, unless the address asks for others."""
    return variants_asked(request) or [Rig.Variant.MAIN]


@require_safe
@production_view(Action.READ)
def inputs(request: ProductionRequest) -> HttpResponse:
    found = input_list.inputs_of(request.production, variants_of(request))
    context = {
        "inputs": found, "numbering": input_list.numbering(found), "active_nav": "rigs",
    }  # fmt: skip
    return render(request, "rigs/lists/inputs.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def number(request: ProductionRequest) -> HttpResponse:
    """The rows may come arranged: the order they are sent in is the order they were put in."""
    found = input_list.inputs_of(request.production, variants_of(request))
    form = RenumberForm(found, posted(request))
    status = 200
    if "in_order" in request.POST or (form.is_bound and form.is_valid()):
        numbers = in_order(form.inputs) if "in_order" in request.POST else form.numbers()
        try:
            done = renumber(inputs=found, numbers=numbers, by=request.user, bases=form.bases)
        except NumbersClash as clash:
            form.is_valid()
            form.show_clash(clash)
            status = 409
        else:
            messages.success(
                request, "Numbered." if done else "The numbers were like that already."
            )
            return redirect(within(request, "rigs:input_list"))
    context = {"form": form, "active_nav": "rigs"}
    return render(request, "rigs/lists/number.html", context, status=status)


@require_safe
@production_view(Action.READ)
def inputs_file(request: ProductionRequest, format: str) -> HttpResponse:
    found = input_list.inputs_of(request.production, variants_of(request))
    rows = paper_rows(found) if format == "pdf" else input_list.as_rows(found)
    return grid_file(request, rows, "Input list", format)


@require_safe
@production_view(Action.READ)
def pack_list(request: ProductionRequest) -> HttpResponse:
    found = pack.pack_of(request.production, variants_of(request))
    sections = [(heading, getattr(found, key)) for key, heading in pack.SECTIONS]
    is_empty = not any(lines for _, lines in sections) and not found.unknown
    context = {"pack": found, "sections": sections, "is_empty": is_empty, "active_nav": "rigs"}
    return render(request, "rigs/lists/pack.html", context)


@require_safe
@production_view(Action.READ)
def pack_file(request: ProductionRequest, format: str) -> HttpResponse:
    found = pack.pack_of(request.production, variants_of(request))
    if format == "pdf":
        sheet = pack_sheet(found, request.production, paper=paper_of(request))
        return pdf(request, sheet, "Pack list")
    return grid_file(request, pack.as_rows(found), "Pack list", format)


def grid_file(
    request: ProductionRequest, rows: list[list[str]], title: str, format: str
) -> HttpResponse:
    if format == "pdf":
        return pdf(
            request, grid_sheet(title, request.production, rows, paper=paper_of(request)), title
        )
    if format not in ("csv", "xlsx"):
        raise Http404("No such file.")
    data = write_csv(rows) if format == "csv" else write_xlsx(rows, title)
    kind = "text/csv; charset=utf-8" if format == "csv" else XLSX
    response = HttpResponse(data, content_type=kind)
    name = file_name(request, title, format)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
