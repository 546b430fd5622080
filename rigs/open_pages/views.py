"""The stream of one rig's changes and visitors, for pages that stay open."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.http import HttpResponseBase
from django.views.decorators.http import require_GET

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.live.stream import Watch, live_response
from core.numbers import whole_number
from rigs.editing.pages import find_rig
from rigs.open_pages.updates import news_of, topic_of


@require_GET
@production_view(Action.READ)
def rig(request: ProductionRequest, rig_id: UUID) -> HttpResponseBase:
    """Server-sent events of the changes after `?since=`, or after that of a returning page."""
    rig = find_rig(request, rig_id)
    # A browser that connects again names the last event it got, which is newer than its address.
    known = request.headers.get("Last-Event-ID") or request.GET.get("since", "")
    since = whole_number(known)
    watch = Watch(
        topic_of(rig.pk),
        request.production.pk,
        request.user,
        # A number that is still to come would hide the changes up to it.
        rig.head_number if since is None else min(since, rig.head_number),
        partial(news_of, rig),
        request.session.session_key or "",
    )
    return live_response(request, watch)
