"""Answer a request with a PDF, on the paper that its address asks for."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils.text import slugify

from core import clock
from core.access.views import ProductionRequest
from rigs.paper.pdf import Paper


def paper_of(request: HttpRequest) -> Paper:
    """The paper that the address asks for: A4, or Letter with ?paper=us-letter."""
    return Paper.LETTER if request.GET.get("paper") == Paper.LETTER else Paper.A4


def file_name(request: ProductionRequest, title: str, ending: str) -> str:
    return f"{slugify(f'{request.production} {title}')}-{clock.now():%Y-%m-%d}.{ending}"


def pdf(request: ProductionRequest, data: bytes, title: str) -> HttpResponse:
    return pdf_named(file_name(request, title, "pdf"), data)


def pdf_named(name: str, data: bytes) -> HttpResponse:
    response = HttpResponse(data, content_type="application/pdf")
    # Inline: on a phone the sheet opens at once, and can be stored or printed from there.
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return response
