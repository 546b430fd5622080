"""Links for guests over the API: to list, to make and to close."""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import Http404
from django.urls import reverse
from django.utils.translation import gettext
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action, allowed
from core.api.base import ProductionView
from core.api.serializers import ErrorSerializer
from core.api.views import ProductionList
from core.guests.forms import ShareForm
from core.guests.links import links_for, mail_share, share, shared_of, until_by_default, withdraw
from core.models import GuestLink, GuestOpening


class GuestOpeningSerializer(serializers.ModelSerializer[GuestOpening]):
    class Meta:
        model = GuestOpening
        fields: ClassVar = ["day", "count"]


class GuestLinkSerializer(serializers.ModelSerializer[GuestLink]):
    """Never the secret: it is answered once, where the link is made, as `url`."""

    made_by = serializers.CharField(source="made_by.name", help_text="Whose link it is.")
    has_word = serializers.SerializerMethodField(help_text="Whether a word is asked for.")
    is_open = serializers.BooleanField()
    openings = GuestOpeningSerializer(many=True)

    class Meta:
        model = GuestLink
        fields: ClassVar = [
            "id",
            "kind",
            "subject",
            "parts",
            "for_whom",
            "has_word",
            "may_answer",
            "language",
            "made_by",
            "made_at",
            "expires_at",
            "withdrawn_at",
            "is_open",
            "openings",
        ]

    def get_has_word(self, link: GuestLink) -> bool:
        return bool(link.code)


class NewGuestLinkSerializer(serializers.Serializer[Any]):
    """What is sent to share something; the rules are those of the page."""

    kind = serializers.CharField(help_text="What is shared: rig, inputs, patch, handover …")
    subject = serializers.UUIDField(help_text="Its id; for lists of a show that of the show.")
    for_whom = serializers.CharField()
    email = serializers.EmailField(
        required=False, allow_blank=True, default="", help_text="Mailed there, and not kept."
    )
    until = serializers.DateField(required=False, help_text="Left out: after the show.")
    code = serializers.CharField(required=False, allow_blank=True, default="")
    parts = serializers.ListField(child=serializers.CharField(), required=False, default=list)
    may_answer = serializers.BooleanField(default=False)
    language = serializers.ChoiceField(
        settings.LANGUAGES,
        required=False,
        allow_blank=True,
        default="",
        help_text="In which they read it first; empty: that of their browser.",
    )


class MadeGuestLinkSerializer(GuestLinkSerializer):
    url = serializers.SerializerMethodField(help_text="Told only now; nobody keeps it.")

    class Meta(GuestLinkSerializer.Meta):
        fields: ClassVar = [*GuestLinkSerializer.Meta.fields, "url"]

    def get_url(self, link: GuestLink) -> str:
        return str(self.context["url"])


class GuestLinks(ProductionList):
    serializer_class = GuestLinkSerializer
    queryset = GuestLink.objects.none()
    ordering: ClassVar = ("-made_at", "pk")
    action: ClassVar = Action.SHARE

    def rows(self) -> QuerySet[Any]:
        return links_for(self.member, self.request.user)  # type: ignore[arg-type]

    @extend_schema(
        operation_id="guest_links_list",
        summary="Links for people without an account: your own; for managers, all",
    )
    def get(self, request: Request, **_: Any) -> Response:
        return self.list(request)

    @extend_schema(
        operation_id="guest_links_create",
        summary="Share one thing with somebody without an account",
        request=NewGuestLinkSerializer,
        responses={201: MadeGuestLinkSerializer, 404: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = NewGuestLinkSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        values = sent.validated_data
        kind, subject = values.pop("kind"), values.pop("subject")
        shared = shared_of(self.production, kind, subject)
        if shared is None:
            raise Http404(gettext("There is nothing like that to share."))
        may_ask = shared.asks is not None and allowed(self.member.roles, shared.asks)
        values.setdefault("until", until_by_default(self.production, shared))
        form = ShareForm(values, shared=shared, may_ask=may_ask)
        if not form.is_valid():
            raise ValidationError(form.errors.as_data())
        cleaned = dict(form.cleaned_data)
        email = cleaned.pop("email")
        made = share(
            production=self.production,
            kind=kind,
            subject=subject,
            by=request.user,  # type: ignore[arg-type]
            address=lambda token: request.build_absolute_uri(reverse("core:guest", args=[token])),
            **cleaned,
        )
        if email:
            mail_share(made, email)
        answer = MadeGuestLinkSerializer(made.link, context={"url": made.url})
        response = Response(answer.data, status.HTTP_201_CREATED)
        response.headers["Cache-Control"] = "no-store"
        return response


class OneGuestLink(ProductionView):
    serializer_class = GuestLinkSerializer
    queryset = GuestLink.objects.none()
    action: ClassVar = Action.SHARE

    @extend_schema(
        operation_id="guest_links_close",
        summary="Close a link: it opens nothing any more",
        responses={204: None, 404: ErrorSerializer},
    )
    def delete(self, request: Request, **kwargs: Any) -> Response:
        own = links_for(self.member, request.user)  # type: ignore[arg-type]
        if not own.filter(pk=kwargs["guest_link"]).exists():
            raise Http404(gettext("No such link."))
        withdraw(own.filter(pk=kwargs["guest_link"]), by=request.user)  # type: ignore[arg-type]
        return Response(status=status.HTTP_204_NO_CONTENT)
