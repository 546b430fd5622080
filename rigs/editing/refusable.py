"""Forms of what is stored by a service that knows more rules than the form."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError

from core.forms.base import EditForm
from core.models import User


class Refusable(EditForm):
    """A form whose service may refuse what is well-formed; its words stand at their fields."""

    def __init__(self, *args: Any, by: User | None = None, **more: Any) -> None:
        self.by = by
        super().__init__(*args, **more)

    def try_save(self) -> bool:
        try:
            return super().try_save()
        except ValidationError as refused:
            self.add_error(None, refused)
            return False

    def bump(self) -> User:
        """Count the version up as any form does; who saves it."""
        if not self.instance._state.adding:
            self.instance.version = self.cleaned_data["version"] + 1
        assert self.by is not None  # noqa: S101 - only what is sent is saved, and somebody sent it
        return self.by
