"""{{ judged.words|told }}: what knows no Django, in the language of the reader.
{{ clip.song|quoted }}: a title in its marks of quotation."""

from __future__ import annotations

from django import template

from core.languages.words import quoted, told

register = template.Library()
register.filter("told", told)
register.filter("quoted", quoted)
