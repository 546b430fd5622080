"""Answer a request with a PDF, on the paper that its address asks for."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils.http import content_disposition_header
from django.utils.text import slugify

from core import clock
from core.access.views import ProductionRequest
from rigs.paper.pdf import Paper


def paper_of(request: HttpRequest) -> Paper:
    """The paper that the address asks for: A4, or Letter with ?paper=us-letter."""
    return Paper.LETTER if request.GET.get("paper") == Paper.LETTER else Paper.A4


def file_name(request: ProductionRequest, title: str, ending: str) -> str:
    """Of letters that every system takes; a title or a name that has none of them is kept."""
    words = filter(None, map(_slug, (str(request.production), title)))
    return f"{'-'.join(words)}-{clock.now():%Y-%m-%d}.{ending}"


def _slug(words: str) -> str:
    return slugify(words) or slugify(words, allow_unicode=True)


def pdf(request: ProductionRequest, data: bytes, title: str) -> HttpResponse:
    return pdf_named(file_name(request, title, "pdf"), data)


def pdf_named(name: str, data: bytes) -> HttpResponse:
    response = HttpResponse(data, content_type="application/pdf")
    # Inline: on a phone the sheet opens at once, and can be stored or printed from there.
    response.headers["Content-Disposition"] = str(content_disposition_header(False, name))
    return response
