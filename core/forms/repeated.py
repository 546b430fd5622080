"""What the next form begins with where one makes many of a thing (core.views.another)."""

from __future__ import annotations

from typing import Any, ClassVar


class Repeated:
    """For a form: what the next one begins with."""

    SAME_AGAIN: ClassVar[tuple[str, ...]] = ()

    def for_another(self) -> dict[str, Any]:
        """Field → value as it is typed, of a form that was saved."""
        form: Any = self
        return {name: form[name].value() for name in self.SAME_AGAIN if name in form.fields}
