"""Convert the JSON of an archive back to the value of a column."""

from __future__ import annotations

import base64
from typing import Any

from django.db import models

from core.personal.commitments import committed_in
from core.personal.fields import is_personal
from core.personal.opening import AsWritten, Reference


def from_json(field: models.Field[Any, Any], value: Any) -> Any:
    """Raises ValueError or ValidationError for what the column cannot hold."""
    if value is None:
        return None
    if isinstance(field, models.BinaryField):
        return base64.b64decode(value, validate=True)
    if isinstance(field, models.JSONField):
        return value
    if is_personal(field) and isinstance(value, str):
        # What an earlier release wrote in the clear stays so: digests are over it.
        return AsWritten(value) if committed_in(value) is None else Reference(value)
    return field.to_python(value)
