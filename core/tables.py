"""What tables look like: their names, whether they count, their values as JSON."""

from __future__ import annotations

import base64
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import models

from core.owner import Model


def name_of(model: Model) -> str:
    return f"{model._meta.app_label}.{model._meta.model_name}"


def is_counted(model: Model) -> bool:
    """Whether the key is a number of this database, which means nothing on another one."""
    return isinstance(model._meta.pk, models.AutoField | models.BigAutoField)


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
