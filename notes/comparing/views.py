"""Clips of one input side by side: a page that can be shared by its address."""

from __future__ import annotations

import math
from hashlib import sha256
from typing import Any
from uuid import UUID

import numpy as np
from django.core.files.base import ContentFile
from django.db.models import Count, Q
from django.http import (
    Http404,
    HttpResponse,
    HttpResponseBadRequest,
    HttpResponseBase,
    JsonResponse,
    QueryDict,
)
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.words import MINUS, localised, number
from notes.clips.ranges import file_response
from notes.comparing import pictures, sides
from notes.comparing.evidence import clips_of, compare_url
from notes.comparing.forms import CompareClipsForm
from notes.comparing.matched import wav_of
from notes.comparing.named_frequencies import beside
from notes.comparing.shown import listening, svg
from notes.comparing.sides import (
    FEWEST,
    MOST,
    CannotCompare,
    SideBySide,
    gain_in_words,
    no_section,
    side_by_side,
)
from notes.listening.bands import NOMINAL
from notes.models import Clip, Note
from notes.queries import for_cards
from rigs.models import Input


@require_safe
@production_view(Action.READ)
def compare(request: ProductionRequest) -> HttpResponse:
    clips = _asked_for(request)
    input = clips[0].input if clips else _input(request)
    context: dict[str, Any] = {"input": input, "active_nav": "clips", "fewest": FEWEST}
    if input is None:
        context["inputs"] = _with_enough(request)
        return render(request, "notes/comparing/choose.html", context)
    context["form"] = CompareClipsForm(input=input, initial={"clip": [clip.pk for clip in clips]})
    if len(clips) == 1:  # from the page of a clip: the others are still to be chosen
        context["beside_what"] = clips[0]
    elif clips:
        context |= _compared(clips, request)
    return render(request, "notes/comparing/compare.html", context)


@require_safe
@production_view(Action.READ)
def gains(request: ProductionRequest) -> JsonResponse:
    """Gains over just the part that the page loops, or why there are none."""
    try:
        gains = sides.gains(_asked_for(request), _section(request.GET) or (0.0, math.inf))
    except CannotCompare as refusal:
        return JsonResponse({"refused": str(refusal)})
    return JsonResponse(
        {"sides": [{"gain": round(gain, 4), "words": gain_in_words(gain)} for gain in gains]}
    )


@require_safe
@production_view(Action.READ)
def sound(request: ProductionRequest, number: int) -> HttpResponseBase:
    """One of the clips, by its place in the address, as it is played beside the others."""
    clips = _asked_for(request)
    try:
        comparison = side_by_side(clips, _section(request.GET))
    except CannotCompare as refusal:
        return HttpResponseBadRequest(str(refusal), content_type="text/plain; charset=utf-8")
    if not 1 <= number <= len(clips):
        raise Http404(_("There is no such sound."))
    side = comparison.sides[number - 1]
    body = wav_of(comparison, side)
    return file_response(
        request,
        ContentFile(body),
        len(body),
        content_type="audio/wav",
        name=f"{side.letter}.wav",
        etag=f'"{sha256(body).hexdigest()}"',
    )


def _section(asked: QueryDict) -> tuple[float, float] | None:
    """From and to in seconds of the common time, as typed; None for all of it.

    Raises CannotCompare for what is no number.
    """
    texts = [asked.get(name, "").strip().replace(",", ".") for name in ("from", "to")]
    if not any(texts):
        return None
    try:
        start, end = float(texts[0] or 0), float(texts[1] or math.inf)
    except ValueError:
        raise CannotCompare(
            _("{why} Write seconds, as in {example}.").format(why=no_section(), example=number(1.5))
        ) from None
    return start, end


def _asked_for(request: ProductionRequest) -> list[Clip]:
    """The clips of the address in its order, each once. Raises Http404 if one is not there."""
    try:
        ids = list(dict.fromkeys(UUID(text) for text in request.GET.getlist("clip")))
    except ValueError:
        raise Http404(_("There is no such clip.")) from None
    # Before the database is asked for what an address could name by the thousand.
    if len(ids) > 10 * MOST:
        raise Http404(_("There are not so many clips."))
    by_id = {clip.pk: clip for clip in clips_of(request.production).filter(pk__in=ids)}
    if len(by_id) < len(ids):
        raise Http404(_("There is no such clip."))
    return [by_id[pk] for pk in ids]


def _input(request: ProductionRequest) -> Input | None:
    text = request.GET.get("input", "")
    if not text:
        return None
    try:
        input_id = UUID(text)
    except ValueError:
        raise Http404(_("There is no such input.")) from None
    rows = Input.objects.select_related("rig__player", "rig__production")
    entry: Input = get_object_or_404(rows, pk=input_id, rig__production=request.production)
    return entry


def _with_enough(request: ProductionRequest) -> list[Input]:
    """Inputs with clips enough to compare."""
    counted = Count("clips", filter=Q(clips__retired_at=None))
    inputs = Input.objects.filter(rig__production=request.production).annotate(heard=counted)
    return list(
        inputs.filter(heard__gte=FEWEST)
        .select_related("rig__player")
        .order_by("rig__player__position", "rig__name", "number")
    )


def _compared(clips: list[Clip], request: ProductionRequest) -> dict[str, Any]:
    section_error = ""
    try:
        # Of all first: where that is refused, no section can be read either.
        comparison = side_by_side(clips)
    except CannotCompare as refusal:
        return {"refused": str(refusal)}
    try:
        section = _section(request.GET)
        comparison = side_by_side(clips, section) if section else comparison
    except CannotCompare as refusal:  # all of it is there to be heard all the same
        section_error = str(refusal)
    return {
        **listening(clips, comparison, typed=_typed(request.GET)),
        "section_error": section_error,
        "spectra": svg(pictures.spectra(comparison)),
        "rows": _rows(comparison),
        "beside": beside(_notes(clips), comparison),
        "instead": _instead(clips, comparison),
    }


def _typed(asked: QueryDict) -> tuple[str, str]:
    start, end = (asked.get(name, "").strip()[:20] for name in ("from", "to"))
    return start, end


def _instead(clips: list[Clip], comparison: SideBySide) -> list[tuple[str, str]]:
    """Letters of the others, each with the page on which it is the first."""
    return [
        (side.letter, compare_url([side.clip, *(each for each in clips if each != side.clip)]))
        for side in comparison.others
    ]


def _notes(clips: list[Clip]) -> list[Note]:
    """Notes that a clip belongs to, and those that are the reason of a change it is tied to."""
    ids = [clip.pk for clip in clips]
    about = Q(clips__in=ids) | Q(led_to__revision__heard__clip__in=ids)
    # Distinct: two joins lead to notes, and several clips may lead to one.
    return list(for_cards(Note.objects.filter(about).distinct()))[:MOST]


def _rows(comparison: SideBySide) -> list[dict[str, Any]]:
    """The table that says in numbers what the pictures show."""
    rows = []
    for at, nominal in enumerate(NOMINAL):
        levels = [_db(side.heard.bands.levels[at] + side.gain_db, "") for side in comparison.sides]
        changes = [
            {"db": _db(reading.change[at], "+"), "counts": bool(np.isfinite(reading.counted[at]))}
            for reading in (side.reading for side in comparison.others)
            if reading
        ]
        rows.append({"hz": nominal, "levels": levels, "changes": changes})
    return rows


def _db(value: float, sign: str) -> str:
    if not np.isfinite(value):
        return _("nothing")
    return localised(f"{value:{sign}.1f}").replace("-", MINUS)
