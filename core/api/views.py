"""Productions, players, the tour and the set, to read."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.mixins import ListModelMixin, RetrieveModelMixin
from rest_framework.request import Request
from rest_framework.response import Response

from core.api import serializers as shapes
from core.api.base import ApiView, ProductionView
from core.api.queries import ListQuery
from core.models import Leg, Membership, Player, Production, SearchEntry, Show, Song
from core.search.backend import search


def mine(request: Request) -> QuerySet[Production]:
    """The caller's productions, each with the caller's roles as `mine`."""
    held = Membership.objects.filter(user=request.user.pk)
    # The caller’s own only: the roles of others are not shown here.
    own = Prefetch("memberships", held, to_attr="mine")
    return Production.objects.filter(pk__in=held.values("production")).prefetch_related(own)


class Productions(ListModelMixin, ApiView):
    serializer_class = shapes.ProductionSerializer
    queryset = Production.objects.none()
    ordering = ("name", "pk")

    def get_queryset(self) -> QuerySet[Production]:
        return mine(self.request)

    @extend_schema(operation_id="productions_list", summary="Your productions")
    def get(self, request: Request) -> Response:
        return self.list(request)


class OneProduction(RetrieveModelMixin, ProductionView):
    serializer_class = shapes.ProductionSerializer
    queryset = Production.objects.none()

    def get_object(self) -> Production:
        return get_object_or_404(mine(self.request), pk=self.production.pk)

    @extend_schema(operation_id="productions_retrieve", summary="One of your productions")
    def get(self, request: Request, **_: Any) -> Response:
        return self.retrieve(request)


class ProductionList(ListModelMixin, ProductionView):
    """A list of what belongs to one production; `rows` names it."""

    def rows(self) -> QuerySet[Any]:
        raise NotImplementedError

    def get_queryset(self) -> QuerySet[Any]:
        return super().get_queryset() if self.drawing_schema else self.rows()

    def get(self, request: Request, **_: Any) -> Response:
        return self.list(request)


@extend_schema_view(
    get=extend_schema(operation_id="players_list", summary="Musicians, retired ones too")
)
class Players(ProductionList):
    serializer_class = shapes.PlayerSerializer
    queryset = Player.objects.none()
    ordering = ("position", "pk")

    def rows(self) -> QuerySet[Any]:
        return Player.objects.filter(production=self.production)


@extend_schema_view(
    get=extend_schema(operation_id="legs_list", summary="Legs of the tour with their shows")
)
class Legs(ProductionList):
    serializer_class = shapes.LegSerializer
    queryset = Leg.objects.none()
    ordering: ClassVar = ("starts_on", "pk")

    def rows(self) -> QuerySet[Any]:
        return Leg.objects.filter(production=self.production).prefetch_related("shows")


@extend_schema_view(get=extend_schema(operation_id="shows_list", summary="Shows by date"))
class Shows(ProductionList):
    serializer_class = shapes.ShowSerializer
    queryset = Show.objects.none()
    ordering: ClassVar = ("held_on", "pk")

    def rows(self) -> QuerySet[Any]:
        return Show.objects.filter(leg__production=self.production)


@extend_schema_view(
    get=extend_schema(operation_id="songs_list", summary="The set with sections and research")
)
class Songs(ProductionList):
    serializer_class = shapes.SongSerializer
    queryset = Song.objects.none()
    ordering: ClassVar = ("position", "pk")

    def rows(self) -> QuerySet[Any]:
        songs = Song.objects.filter(production=self.production)
        return songs.prefetch_related("sections", "research")


class SearchQuery(ListQuery):
    q = serializers.CharField(max_length=200, required=False, allow_blank=True)
    kind = serializers.ChoiceField(SearchEntry.Kind.choices, required=False, allow_blank=True)
    page = serializers.IntegerField(min_value=1, max_value=100, required=False)


class Search(ProductionView):
    """What the search page finds, in the same order."""

    serializer_class = shapes.SearchPageSerializer
    pagination_class = None  # type: ignore[assignment]  # pages by number, as on the page

    @extend_schema(
        operation_id="search", summary="Find things by their words", parameters=[SearchQuery]
    )
    def get(self, request: Request, **_: Any) -> Response:
        asked = SearchQuery.of(request, self.production)
        found = search(self.production, asked.get("q", ""), asked.get("kind"), asked.get("page", 1))
        return Response(shapes.SearchPageSerializer(found).data)
