"""The input list of a production: to read, to number, to take away; and the pack list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.urls import printed_address, within
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.cautions import LIFTING, MAINS
from rigs.lists import input_list, pack
from rigs.lists.cases import Count, cases, of_unit
from rigs.lists.filters import ListFilter
from rigs.lists.groups import settings_of
from rigs.lists.paging import page_of
from rigs.lists.paper import cautions_of, grid_sheet, pack_sheet, paper_rows
from rigs.lists.renumber import NumbersClash, RenumberForm, in_order, renumber
from rigs.lists.sheets import write_csv
from rigs.lists.state import ListState, state_of
from rigs.lists.workbook import write_xlsx
from rigs.models import Fact, Rig, Unit
from rigs.paper.responses import file_name, paper_of, pdf

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
    variants = variants_of(request)
    rows = input_list.inputs_of(request.production, variants)
    list_filter = ListFilter(request.GET)
    page = page_of(list_filter.inputs(rows), request.GET)
    context = {
        "state": state_of(request.production, variants),
        "inputs": rows,
        "filter": list_filter,
        "page": page,
        "rows": settings_of(list(page)),
        "numbering": input_list.numbering(rows),
        "active_nav": "rigs",
    }
    return render(request, "rigs/lists/inputs.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def number(request: ProductionRequest) -> HttpResponse:
    """The rows may come arranged: the order they are sent in is the order they were put in."""
    rows = input_list.inputs_of(request.production, variants_of(request))
    form = RenumberForm(rows, posted(request))
    status = 200
    if "in_order" in request.POST or (form.is_bound and form.is_valid()):
        numbers = in_order(form.inputs) if "in_order" in request.POST else form.numbers()
        try:
            done = renumber(inputs=rows, numbers=numbers, by=request.user, bases=form.bases)
        except NumbersClash as clash:
            form.is_valid()
            form.show_clash(clash)
            status = 409
        else:
            messages.success(
                request, _("Numbered.") if done else _("The numbers were like that already.")
            )
            return redirect(within(request, "rigs:input_list"))
    context = {"form": form, "active_nav": "rigs"}
    return render(request, "rigs/lists/number.html", context, status=status)


@require_safe
@production_view(Action.READ)
def inputs_file(request: ProductionRequest, format: str) -> HttpResponse:
    variants = variants_of(request)
    rows = input_list.inputs_of(request.production, variants)
    on_paper = format == "pdf"
    return grid_file(
        request,
        paper_rows(rows) if on_paper else input_list.as_rows(rows),
        _("Input list"),
        format,
        state=partial(state_of, request.production, variants),
        page=within(request, "rigs:input_list"),
        cautions=cautions_of(rows) if on_paper else (),
    )


@require_safe
@production_view(Action.READ)
def pack_list(request: ProductionRequest) -> HttpResponse:
    packed = pack.pack_of(request.production, variants_of(request))
    list_filter = ListFilter(request.GET)
    sections = _sections(packed, list_filter)
    # Asked of the whole list, since a filter that finds nothing is another message.
    is_empty = not any(getattr(packed, key) for key, _ in pack.SECTIONS) and not packed.unknown
    context = {
        "pack": packed,
        "filter": list_filter,
        "found": any(lines for _, _, lines, _ in sections),
        "folded": () if list_filter.asked else pack.FOLDED,
        "sections": sections,
        "is_empty": is_empty,
        "active_nav": "rigs",
        "mains": MAINS.text,
        "lifting": LIFTING.text,
        "state": state_of(request.production, variants_of(request)),
    }
    return render(request, "rigs/lists/pack.html", context)


def _sections(packed: pack.Pack, only: ListFilter) -> list[tuple[str, str, list[Count], str]]:
    """Of each section its key, its heading, its lines and what is counted in it."""
    return [
        (key, str(heading), only.lines(getattr(packed, key)), pack.COUNTED_IN.get(key, _("Count")))
        for key, heading in pack.SECTIONS
    ]


@require_safe
@production_view(Action.READ)
def case(request: ProductionRequest) -> HttpResponse:
    """What travels in the case that ?name= names: where its label leads. Without it, all cases."""
    name = request.GET.get("name", "").strip()
    if not name:
        return redirect(f"{within(request, 'rigs:pack_list')}#lines-of-cases")
    units = Unit.objects.live().filter(
        rig__production=request.production, rig__retired=False, packed_in=name
    )
    units_ = list(units.select_related("rig__player").order_by("rig__name", "position"))
    facts = Fact.objects.live().filter(unit__in=units_, key="weight")
    weights = {(unit, "weight"): value for unit, value in facts.values_list("unit", "value")}
    needed = input_list.inputs_of(request.production)
    devices = [thing for thing in pack.devices_in(needed) if thing.packed_in.strip() == name]
    if not units_ and not devices:
        raise Http404(_("No such case."))
    (line,) = cases([*(of_unit(unit, weights) for unit in units_), *devices])
    context = {
        "name": name,
        "units": units_,
        "devices": devices,
        "line": line,
        "active_nav": "rigs",
        "lifting": LIFTING.text,
    }
    return render(request, "rigs/lists/case.html", context)


@require_safe
@production_view(Action.READ)
def pack_file(request: ProductionRequest, format: str) -> HttpResponse:
    variants = variants_of(request)
    packed = pack.pack_of(request.production, variants)
    state = partial(state_of, request.production, variants)
    page = within(request, "rigs:pack_list")
    if format == "pdf":
        sheet = pack_sheet(
            packed,
            request.production,
            paper=paper_of(request),
            state=state(),
            address=request.build_absolute_uri(page),
        )
        return pdf(request, sheet, _("Pack list"))
    return grid_file(request, pack.as_rows(packed), _("Pack list"), format, state=state, page=page)


def grid_file(
    request: ProductionRequest,
    rows: list[list[str]],
    title: str,
    format: str,
    *,
    state: Callable[[], ListState],
    page: str,
    cautions: Sequence[str] = (),
    captions: Sequence[str] = (),
) -> HttpResponse:
    """`page` is the address of the live list, `state` answers what it was made from; cautions and
    captions are for paper, and so is that: it is asked there alone."""
    if format == "pdf":
        sheet = grid_sheet(
            title,
            request.production,
            rows,
            paper=paper_of(request),
            state=state(),
            address=printed_address(request, page),
            cautions=cautions,
            captions=captions,
        )
        return pdf(request, sheet, title)
    # The format is part of the address, where anything can stand.
    if format not in ("csv", "xlsx"):
        raise Http404(_("No such file."))
    data = write_csv(rows) if format == "csv" else write_xlsx(rows, title)
    kind = "text/csv; charset=utf-8" if format == "csv" else XLSX
    response = HttpResponse(data, content_type=kind)
    name = file_name(request, title, format)
    response.headers["Content-Disposition"] = str(content_disposition_header(True, name))
    return response
