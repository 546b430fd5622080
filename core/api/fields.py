"""Serializers with Decimals as plain strings: "0.035", not "0.035000000"."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import models
from rest_framework import serializers

from core.units import plain


class PlainDecimal(serializers.DecimalField):
    def to_representation(self, value: Any) -> str:
        return plain(value)


class PlainSerializer(serializers.ModelSerializer[Any]):
    serializer_field_mapping: ClassVar[dict[Any, Any]] = {
        **serializers.ModelSerializer.serializer_field_mapping,
        models.DecimalField: PlainDecimal,
    }
