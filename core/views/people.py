"""The people of a production: who is in, who is invited, who does what."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.loaders import Member, load_people
from core.access.policy import Action, allowed
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.forms.people import InviteForm, MemberForm
from core.links import LinkClosed
from core.models import User
from core.offline.once import long_running
from core.services import invitations
from core.services.members import LastManager, RolesChanged, change_roles, remove_member
from core.views.another import address_of_next, begin
from core.views.pages import form_page, posted

GONE = gettext_lazy("That invitation was used or withdrawn before, or never was.")


@require_safe
@production_view(Action.READ)
def people(request: ProductionRequest) -> HttpResponse:
    may_invite = allowed(request.member.roles, Action.INVITE)
    context = {
        "people": load_people(request.production),
        "invitations": invitations.open_invitations(request.production) if may_invite else [],
        "active_nav": "people",
    }
    return render(request, "core/people.html", context)


@require_http_methods(["GET", "POST"])
@never_cache  # the answer holds a link that must not be kept anywhere
@long_running  # a mail goes out
@production_view(Action.INVITE)
def invite(request: ProductionRequest) -> HttpResponse:
    form = InviteForm(posted(request), production=request.production)
    if form.is_valid():
        made = invitations.invite(
            production=request.production,
            by=request.user,
            address=_address(request),
            **{key: form.cleaned_data[key] for key in ("roles", "player", "email")},
        )
        return _shown_once(request, made, next_url=address_of_next(request.path, form))
    begin(request, form)
    return form_page(
        request,
        form,
        heading=_("Invite somebody"),
        submit=_("Make the invitation"),
        cancel_url=within(request, "core:people"),
        active_nav="people",
    )


@require_POST
@never_cache  # as above
@long_running
@production_view(Action.INVITE)
def invite_again(request: ProductionRequest, link_id: UUID) -> HttpResponse:
    try:
        made = invitations.invite_again(
            production=request.production, link=link_id, by=request.user, address=_address(request)
        )
    except LinkClosed:
        messages.warning(request, GONE)
        return redirect(within(request, "core:people"))
    return _shown_once(request, made, again=True)


def _address(request: ProductionRequest) -> Callable[[str], str]:
    return lambda token: request.build_absolute_uri(reverse("core:invitation", args=[token]))


def _shown_once(
    request: ProductionRequest,
    made: invitations.Invitation,
    *,
    again: bool = False,
    next_url: str = "",
) -> HttpResponse:
    """No redirect: the link cannot be shown on another page, because nobody keeps it."""
    offer = invitations.offer_of(made.link)
    context = {
        "made": made,
        "offer": offer,
        "again": again,
        "next_url": next_url,
        "active_nav": "people",
    }
    return render(request, "core/invited.html", context)


@require_POST
@production_view(Action.INVITE)
def withdraw(request: ProductionRequest, link_id: UUID) -> HttpResponse:
    if invitations.withdraw(production=request.production, link=link_id):
        messages.success(
            request, _("The invitation is withdrawn. Its link opens nothing any more.")
        )
    else:
        messages.warning(request, GONE)
    return redirect(within(request, "core:people"))


@require_http_methods(["GET", "POST"])
@production_view(Action.INVITE)
def edit(request: ProductionRequest, member_id: UUID) -> HttpResponse:
    person = _person(request, member_id)
    held = Member(request.production, list(request.production.memberships.filter(user=person)))
    form = MemberForm(
        posted(request),
        production=request.production,
        initial={
            "roles": sorted(held.roles),
            "player": next(iter(held.player_ids), None),
            "seen": ",".join(sorted(held.roles)),
        },
    )
    if form.is_valid() and _changed(request, form, person):
        messages.success(request, _("What {person} does here is saved.").format(person=person))
        return redirect(within(request, "core:people"))
    return form_page(
        request,
        form,
        heading=_("What {person} does").format(person=person),
        cancel_url=within(request, "core:people"),
        active_nav="people",
        person=person,
        template="core/member_edit.html",
    )


def _changed(request: ProductionRequest, form: MemberForm, person: User) -> bool:
    values = form.cleaned_data
    try:
        change_roles(
            production=request.production,
            user=person,
            roles=values["roles"],
            player=values["player"],
            seen=values["seen"].split(","),
        )
    except LastManager as refused:
        form.add_error("roles", str(refused))
    except RolesChanged as stale:
        data = request.POST.copy()
        # Whoever sends the form again has read which roles there are now, so it passes then.
        data["seen"] = ",".join(sorted(stale.now))
        form.data = data
        form.add_error(None, ValidationError(str(stale)))
    return not form.errors


@require_POST
@production_view(Action.INVITE)
def remove(request: ProductionRequest, member_id: UUID) -> HttpResponse:
    person = _person(request, member_id)
    try:
        remove_member(production=request.production, user=person)
    except LastManager as refused:
        messages.error(request, str(refused))
        return redirect(within(request, "core:member_edit", person.pk))
    messages.success(
        request,
        _("{person} is no longer in {production}. Their words stay.").format(
            person=person, production=request.production
        ),
    )
    return redirect("core:home" if person == request.user else within(request, "core:people"))


def _person(request: ProductionRequest, member_id: UUID) -> User:
    people = User.objects.filter(memberships__production=request.production).distinct()
    return get_object_or_404(people, pk=member_id)
