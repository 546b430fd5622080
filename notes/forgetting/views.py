"""What is held of oneself, and the pages by which somebody is forgotten."""

from __future__ import annotations

from collections import Counter
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core import clock
from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view, signed_in
from core.models import User
from core.services.members import LastManager
from core.views.pages import posted
from notes.forgetting.forget import forget, look
from notes.forgetting.forms import ForgetForm
from notes.forgetting.held import counted, held_of
from notes.forgetting.subject import (
    Subject,
    guest,
    guests_and_links,
    member,
    musician,
    names_of_guests,
)
from notes.forgetting.tables import who_left


@require_safe
@never_cache
@signed_in
def held(request: Any) -> HttpResponse:
    context = {"held": counted(held_of(request.user)), "now": clock.now()}
    return render(request, "notes/forgetting/held.html", context)


@require_safe
@never_cache
@signed_in
def held_json(request: Any) -> HttpResponse:
    answer = JsonResponse(held_of(request.user), json_dumps_params={"ensure_ascii": False})
    name = f"held-of-me-{localdate():%Y-%m-%d}.json"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@require_POST
@signed_in
def ask(request: Any) -> HttpResponse:
    person = User.objects.get(pk=request.user.pk)
    person.asked_to_go_at = None if "take-back" in request.POST else clock.now()
    person.save(update_fields=["asked_to_go_at"])
    messages.success(
        request,
        _("You asked to be forgotten. The managers of your productions see it.")
        if person.asked_to_go_at
        else _("You took it back. Nothing was removed."),
    )
    return redirect("notes:held")


@require_safe
@production_view(Action.INVITE)
def left(request: ProductionRequest) -> HttpResponse:
    """Whom there is to forget: those who left, and those who never had an account."""
    people = who_left(request.production)
    often = Counter(each.name for each in people)
    context = {
        # The address tells two of one name apart, and is shown for nothing else.
        "people": [(each, each.email if often[each.name] > 1 else "") for each in people],
        "guests": guests_and_links(request.production),
        "active_nav": "people",
    }
    return render(request, "notes/forgetting/left.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.INVITE)
def forget_member(request: ProductionRequest, person_id: UUID) -> HttpResponse:
    # Somebody who left is asked for, too, as long as anything is kept of them.
    people = User.objects.filter(
        Q(memberships__production=request.production)
        | Q(pk__in=[each.pk for each in who_left(request.production)])
    )
    person = get_object_or_404(people.distinct(), pk=person_id)
    return _page(request, member(request.production, person))


@require_http_methods(["GET", "POST"])
@production_view(Action.INVITE)
def forget_player(request: ProductionRequest, player_id: UUID) -> HttpResponse:
    player = get_object_or_404(request.production.players.all(), pk=player_id)
    return _page(request, musician(request.production, player))


@require_http_methods(["GET", "POST"])
@production_view(Action.INVITE)
def forget_guest(request: ProductionRequest) -> HttpResponse:
    """?name= is somebody without an account; without it, the page of all such names."""
    name = request.GET.get("name", "")
    if not name:
        return redirect(f"{within(request, 'notes:left')}#guests")
    if name not in names_of_guests(request.production):
        raise Http404(_("Nobody of that name is known here."))
    return _page(request, guest(request.production, name))


def _page(request: ProductionRequest, subject: Subject) -> HttpResponse:
    form = ForgetForm(posted(request))
    was = subject.person
    if form.is_valid() and _done(request, form, subject):
        messages.success(request, _("They are forgotten here. What they vouched for still holds."))
        return redirect("core:home" if was == request.user else within(request, "core:people"))
    context: dict[str, Any] = {"form": form, "subject": subject, "active_nav": "people"}
    try:
        context["report"] = look(subject)
    except LastManager as refused:
        context["refused"] = str(refused)
    return render(request, "notes/forgetting/forget.html", context)


def _done(request: ProductionRequest, form: ForgetForm, subject: Subject) -> bool:
    values = {name: form.cleaned_data[name] for name in ("asked_by", "reason", "words")}
    try:
        forget(subject, by=request.user, **values)
    except LastManager as refused:
        form.add_error(None, str(refused))
    except ValidationError as refused:
        form.add_error(None, refused) if not hasattr(refused, "error_dict") else form.add_error(
            "reason", refused.message_dict["reason"]
        )
    return not form.errors
