"""What the API shows of productions, players, the tour and the set. Ids are UUIDs, lengths metres
with the unit they were written in, Decimals strings."""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework import serializers

from core.api.fields import PlainSerializer
from core.models import Leg, Player, Production, Research, SearchEntry, Section, Show, Song, User

RETIRABLE = ("id", "retired_at")


class PersonSerializer(serializers.ModelSerializer[User]):
    class Meta:
        model = User
        fields: ClassVar = ["id", "name"]


class ProductionSerializer(PlainSerializer):
    roles = serializers.SerializerMethodField(help_text="Your own roles there.")

    class Meta:
        model = Production
        fields: ClassVar = ["id", "name", "about", "created_at", "roles"]

    def get_roles(self, production: Any) -> list[str]:
        # `mine` was prefetched by core.api.views.mine: no query for each production.
        return sorted(membership.role for membership in production.mine)


class PlayerSerializer(PlainSerializer):
    class Meta:
        model = Player
        fields: ClassVar = [*RETIRABLE, "name", "instrument", "position", "guest"]


class ShowSerializer(PlainSerializer):
    class Meta:
        model = Show
        fields: ClassVar = [
            *RETIRABLE,
            "leg",
            "held_on",
            "room",
            "town",
            "temperature_c",
            "humidity_pct",
            "pressure_kpa",
            "mix_distance_m",
            "mix_distance_unit",
            "mains_volts",
            "mains_hz",
            "notes",
        ]


class LegSerializer(PlainSerializer):
    shows = ShowSerializer(many=True, read_only=True)

    class Meta:
        model = Leg
        fields: ClassVar = [*RETIRABLE, "name", "starts_on", "ends_on", "notes", "shows"]


class SectionSerializer(PlainSerializer):
    class Meta:
        model = Section
        fields: ClassVar = [*RETIRABLE, "name", "position"]


class ResearchSerializer(PlainSerializer):
    """What a record does at one place, and what one player (null: everybody) takes from it."""

    class Meta:
        model = Research
        fields: ClassVar = [
            *RETIRABLE,
            "player",
            "release",
            "from_s",
            "to_s",
            "does",
            "take",
            "written_by",
            "written_at",
        ]


class SongSerializer(PlainSerializer):
    """Times are whole seconds. What a song changes on a rig is part of the rig."""

    sections = SectionSerializer(many=True, read_only=True)
    research = ResearchSerializer(many=True, read_only=True)

    class Meta:
        model = Song
        fields: ClassVar = [
            *RETIRABLE,
            "title",
            "position",
            "tempo_bpm",
            "length_s",
            "gap_s",
            "reference",
            "notes",
            "sections",
            "research",
        ]


class ErrorSerializer(serializers.Serializer[Any]):
    """Any error. `fields` names what is wrong with which field, where that is known."""

    code = serializers.CharField()
    detail = serializers.CharField()
    fields = serializers.DictField(required=False)  # type: ignore[assignment]


class SegmentSerializer(serializers.Serializer[Any]):
    """A run of text; whether it is what was looked for."""

    text = serializers.CharField()
    is_hit = serializers.BooleanField()


class HitSerializer(serializers.Serializer[Any]):
    """`path` is the page that shows it; `is_similar`: found with a letter of a word forgiven."""

    kind = serializers.ChoiceField(SearchEntry.Kind.choices)
    title = SegmentSerializer(many=True)
    context = SegmentSerializer(many=True)  # type: ignore[assignment]
    path = serializers.CharField()
    at = serializers.DateTimeField()
    is_similar = serializers.BooleanField()


class SearchPageSerializer(serializers.Serializer[Any]):
    """One page of what was found, the words as typed before similar ones. `is_complete`: nothing
    is left to be put into the search; each further search puts in more."""

    terms = serializers.ListField(child=serializers.CharField())
    page = serializers.IntegerField()
    has_more = serializers.BooleanField()
    has_exact = serializers.BooleanField()
    similar = serializers.ListField(child=serializers.CharField())
    is_complete = serializers.BooleanField()
    results = HitSerializer(source="hits", many=True)
