"""How the description of the API is drawn from its views."""

from __future__ import annotations

from typing import Any

from drf_spectacular.openapi import AutoSchema
from rest_framework.mixins import ListModelMixin


class Drawn(AutoSchema):
    def _is_list_view(self, serializer: Any = None) -> bool:
        # The library reads `action` of a view as the name of a method of its view sets; ours is
        # what the policy is asked for.
        if self.method == "GET" and isinstance(self.view, ListModelMixin):
            return True
        return bool(super()._is_list_view(serializer))
