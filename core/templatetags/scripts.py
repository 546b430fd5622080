"""What the scripts of a page say, in its language."""

from __future__ import annotations

from django import template

from core.languages.scripts import address

register = template.Library()


@register.simple_tag
def words_of_scripts() -> str:
    """{% words_of_scripts as words %}: address of the catalogue, empty where there is none."""
    return address()
