"""Read environment variables as typed values.

A value that cannot be used raises ImproperlyConfigured, which names the variable.
"""

from __future__ import annotations

import os
from collections.abc import Mapping

from django.core.exceptions import ImproperlyConfigured

TRUE = {"1", "true", "yes", "on"}
# Set but empty counts as no, even where the default is yes.
FALSE = {"0", "false", "no", "off", ""}


class Env:
    """Reads settings from a mapping (the process environment by default)."""

    def __init__(self, values: Mapping[str, str] | None = None) -> None:
        self.values = os.environ if values is None else values

    def text(self, name: str, default: str = "") -> str:
        return self.values.get(name, default).strip()

    def required(self, name: str, why: str) -> str:
        value = self.text(name)
        if not value:
            raise ImproperlyConfigured(f"Set the environment variable {name}: {why}")
        return value

    def flag(self, name: str, default: bool = False) -> bool:
        value = self.text(name, str(default)).lower()
        if value in TRUE:
            return True
        if value in FALSE:
            return False
        raise ImproperlyConfigured(f"{name} must be yes or no, not {value!r}")

    def number(self, name: str, default: int) -> int:
        value = self.text(name, str(default))
        try:
            return int(value)
        except ValueError:
            raise ImproperlyConfigured(f"{name} must be a whole number, not {value!r}") from None

    def items(self, name: str, default: str = "") -> list[str]:
        return [part.strip() for part in self.text(name, default).split(",") if part.strip()]

    def choice(self, name: str, choices: tuple[str, ...], default: str) -> str:
        value = self.text(name, default)
        if value not in choices:
            raise ImproperlyConfigured(f"{name} must be one of {', '.join(choices)}, not {value!r}")
        return value
