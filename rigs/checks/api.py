"""Findings over the API: of a rig, or of the rigs that play at a show."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from rigs.checks.acceptance import FindingWithWords
from rigs.checks.findings import Severity


class FigureSerializer(serializers.Serializer[Any]):
    """A number of a finding, as the page shows it."""

    label = serializers.CharField()  # type: ignore[assignment]
    shown = serializers.CharField()


class FindingWordsSerializer(serializers.Serializer[Any]):
    """The newest words on a finding as it stands; `accepted` is false where they open it again."""

    accepted = serializers.BooleanField()
    words = serializers.CharField()
    by_name = serializers.CharField()
    at = serializers.DateTimeField()


class FindingSerializer(serializers.Serializer[FindingWithWords]):
    """What a check found. `parts` are ids, the one it is most about first; words hold as long as
    the signature does."""

    rule = serializers.CharField(source="finding.rule")
    signature = serializers.CharField(source="finding.signature")
    parts = serializers.ListField(child=serializers.CharField(), source="finding.parts")
    severity = serializers.ChoiceField(
        choices=[(each.value, each.value) for each in Severity], source="finding.severity"
    )
    title = serializers.CharField(source="finding.title")
    why = serializers.CharField(source="finding.why")
    mend = serializers.CharField(source="finding.mend")
    sure = serializers.CharField(source="finding.certainty.words")
    figures = FigureSerializer(source="finding.figures", many=True)
    assumes = serializers.ListField(child=serializers.CharField(), source="finding.assumes")
    accepted = serializers.BooleanField(source="is_accepted")
    words = FindingWordsSerializer(allow_null=True)
