"""Convert a value of a column to JSON and back without losing anything."""

from __future__ import annotations

import base64
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import models

from core.personal.commitments import committed_in
from core.personal.fields import is_personal
from core.personal.opening import Reference


def to_json(value: Any) -> Any:
    """Moments in UTC with microseconds; decimals as text, so that no digit is lost."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(bytes(value)).decode()
    return value


def from_json(field: models.Field[Any, Any], value: Any) -> Any:
    """Raises ValueError or ValidationError for what the column cannot hold."""
    if value is None:
        return None
    if isinstance(field, models.BinaryField):
        return base64.b64decode(value, validate=True)
    if isinstance(field, models.JSONField):
        return value
    if is_personal(field) and isinstance(value, str) and committed_in(value) is not None:
        return Reference(value)
    return field.to_python(value)
