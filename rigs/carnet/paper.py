"""The carnet list on paper: a table for each case, its sums, and small photos by number."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from core.models import Production
from rigs.carnet.goods import ADVICE, PAPER_HEADINGS, Case, paper_rows
from rigs.carnet.load import Carnet
from rigs.lists.paper import pressed, sheet_data
from rigs.lists.state import ListState
from rigs.models import StoredPhoto
from rigs.paper.pdf import Paper
from rigs.paper.pinned import small_jpegs

WIDTHS = [3, 18, 4, 10, 9, 9, 9, 12]


def carnet_sheet(
    carnet: Carnet,
    production: Production,
    *,
    title: str,
    paper: Paper,
    state: ListState,
    address: str,
) -> bytes:
    """`address` is the live page. One query, and a file for each photo."""
    pictures = _pictures(carnet, production)
    sections = [_section(case) for case in carnet.cases]
    data = sheet_data(title, production, sections, (), paper, state)
    captions = [_("All together: {sums}").format(sums=carnet.sums.in_words)] if carnet.cases else []
    data |= {
        "wide": True,
        "captions": captions,
        "photos": _photos(carnet, pictures),
        "lines": [*carnet.missing, *carnet.not_listed, str(ADVICE)],
    }
    return pressed(data, address, pictures)


def _section(case: Case) -> dict[str, Any]:
    return {
        "heading": case.name,
        "columns": WIDTHS,
        "head": [str(each) for each in PAPER_HEADINGS],
        "rows": paper_rows(case.goods),
        "below": _("{case}: {sums}").format(case=case.name, sums=case.sums.in_words),
    }


def _file_of(number: int) -> str:
    return f"goods{number}.jpg"


def _pictures(carnet: Carnet, production: Production) -> dict[str, bytes]:
    images = {each.photo.image for each in carnet.goods if each.photo}
    stored = {
        str(row.pk): row for row in StoredPhoto.objects.filter(pk__in=images, production=production)
    }
    return small_jpegs(
        {
            _file_of(each.number): stored[each.photo.image]
            for each in carnet.goods
            if each.photo and each.photo.image in stored
        }
    )


def _photos(carnet: Carnet, pictures: dict[str, bytes]) -> list[dict[str, str]]:
    return [
        {
            "picture": _file_of(each.number),
            "alt": _("Photo of {name}").format(name=each.name),
            "title": f"{each.number} {each.name}",
        }
        for each in carnet.goods
        if _file_of(each.number) in pictures
    ]
