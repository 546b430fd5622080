"""Query parameters that narrow a list.

A parameter that names something of another production is an error of that parameter.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from rest_framework import serializers
from rest_framework.request import Request

from core.models import Production


class ListQuery(serializers.Serializer[Any]):
    """The query parameters of a list: checked, with each id replaced by the row it names."""

    @classmethod
    def of(cls, request: Request, production: Production) -> dict[str, Any]:
        """Raises ValidationError for a value that cannot be and for one of another production."""
        asked = cls(data=request.query_params, context={"production": production})
        asked.is_valid(raise_exception=True)
        return {name: value for name, value in asked.validated_data.items() if value not in ("",)}


class Here(serializers.UUIDField):
    """The id of something in this production; `within` is the way from it to the production."""

    def __init__(self, model: Any, within: str = "production", **more: Any) -> None:
        super().__init__(required=False, **more)
        self.model, self.within = model, within

    def to_internal_value(self, data: Any) -> Any:
        where = {"pk": super().to_internal_value(data), self.within: self.context["production"]}
        # Both conditions in one query: a row of another production answers like one that is not
        # there.
        row = self.model._default_manager.filter(**where).first()
        if row is None:
            raise serializers.ValidationError(_("This production has none such."))
        return row
