"""Share something with somebody without an account; see who has links, and close them."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action, allowed
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.guests.forms import ShareForm
from core.guests.links import (
    HISTORY_DAYS,
    links_for,
    listed,
    mail_share,
    share,
    shared_of,
    until_by_default,
    withdraw,
)
from core.models import GuestChange
from core.offline.once import long_running
from core.views.pages import form_page, posted

SHOWN_CHANGES = 100


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache  # the answer holds a link that must not be kept anywhere
@long_running  # a mail may go out
@production_view(Action.SHARE)
def new(request: ProductionRequest, kind: str, subject: UUID) -> HttpResponse:
    shared = shared_of(request.production, kind, subject)
    if shared is None:
        raise Http404(_("There is nothing like that to share."))
    until = until_by_default(request.production, shared)
    may_ask = shared.asks is not None and allowed(request.member.roles, shared.asks)
    first = {"until": until, "language": request.user.language}
    form = ShareForm(posted(request), shared=shared, may_ask=may_ask, initial=first)
    if form.is_valid():
        try:
            return _shown_once(request, kind, subject, form)
        except ValidationError as refused:
            form.add_error(None, refused)
    return form_page(
        request,
        form,
        heading=_("Share: {title}").format(title=shared.title),
        lede=_(
            "For somebody without an account: they read this and nothing else, until the day you "
            "choose."
        ),
        submit=_("Make the link"),
        cancel_url=shared.start,
    )


def _shown_once(
    request: ProductionRequest, kind: str, subject: UUID, form: ShareForm
) -> HttpResponse:
    """No redirect: the link cannot be shown on another page, because nobody keeps it."""
    values = dict(form.cleaned_data)
    email = values.pop("email")
    made = share(
        production=request.production,
        kind=kind,
        subject=subject,
        by=request.user,
        address=lambda token: request.build_absolute_uri(reverse("core:guest", args=[token])),
        **values,
    )
    mailed = bool(email) and mail_share(made, email)
    context = {"made": made, "link": made.link, "email": email, "mailed": mailed}
    return render(request, "core/guests/made.html", context)


@require_safe
@production_view(Action.SHARE)
def index(request: ProductionRequest) -> HttpResponse:
    """The links that are open, and those that were closed of late."""
    rows = listed(links_for(request.member, request.user))
    context = {
        "open": [row for row in rows if row.link.is_open],
        "closed": [row for row in rows if not row.link.is_open],
        "days": HISTORY_DAYS,
        "is_whole": allowed(request.member.roles, Action.SEE_LINKS),
        "changes": _changes(request)[:SHOWN_CHANGES],
        "active_nav": "people",
    }
    return render(request, "core/guests/index.html", context)


def _changes(request: ProductionRequest) -> QuerySet[GuestChange]:
    own = links_for(request.member, request.user).order_by().values("pk")
    return GuestChange.objects.filter(link__in=own).select_related("link__made_by")


@require_POST
@production_view(Action.SHARE)
def close(request: ProductionRequest, guest_link_id: UUID) -> HttpResponse:
    own = links_for(request.member, request.user)
    link = get_object_or_404(own, pk=guest_link_id)
    if withdraw(own.filter(pk=link.pk), by=request.user):
        words = _("The link for {whom} is closed. It opens nothing now.")
        messages.success(request, words.format(whom=link.for_whom))
    else:
        messages.warning(request, _("That link was closed before."))
    return redirect(within(request, "core:guest_links"))
