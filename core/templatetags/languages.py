"""The languages that can be chosen."""

from __future__ import annotations

from collections.abc import Iterable

from django import template

from core.languages.choice import NAMES

register = template.Library()


@register.simple_tag
def own_names() -> Iterable[tuple[str, str]]:
    """{% own_names as languages %}: codes, each with its name in the language itself. Django's
    own tag translates the names, so that who is lost in one language would not find theirs."""
    return NAMES.items()
