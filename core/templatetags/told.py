"""{{ judged.words|told }}: what knows no Django, in the language of the reader."""

from __future__ import annotations

from django import template

from core.languages.words import told

register = template.Library()
register.filter("told", told)
