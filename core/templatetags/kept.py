"""{% kept … %}…{% endkept %}: a row of a long table, kept by what it shows; a builtin of templates.

    {% for device in devices %}
      {% kept production.pk of device pk name use_count %}<li>…</li>{% endkept %}
    {% endfor %}

After “of” come a record and names of what is shown of it.

What stands inside is rendered once for each set of those values, language and time zone, and then
taken from there (docs/measurements.md says what that saves). So everything that it shows has to be
among the values, and nothing in it may depend on who reads it: no form, no button that some have.
Where `KEPT_CHECKED` is set, as in tests, what is kept is rendered all the same and compared, and a
row whose values do not say all that it shows is an error there.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from django import template
from django.conf import settings
from django.template import Context, Node, NodeList, TemplateSyntaxError
from django.template.base import FilterExpression, Parser, Token
from django.utils.functional import Promise
from django.utils.safestring import SafeString
from django.utils.timezone import get_current_timezone_name
from django.utils.translation import get_language

register = template.Library()

MOST = 4000  # rows kept of each place in a template, in each process
PLAIN = (str, int, UUID, Decimal, date, type(None))  # datetimes are dates, and booleans numbers


@register.tag
def kept(parser: Parser, token: Token) -> Node:
    names = token.split_contents()[1:]
    if "of" in names:
        at = names.index("of")
        record, *shown = names[at + 1 :]
        names[at:] = [f"{record}.{name}" for name in shown]
    values = [parser.compile_filter(name) for name in names]
    if not values:
        raise TemplateSyntaxError("What is kept needs the values that it shows.")
    inside = parser.parse(("endkept",))
    parser.delete_first_token()
    return _Kept(inside, values)


class _Kept(Node):
    def __init__(self, nodelist: NodeList, values: list[FilterExpression]) -> None:
        self.nodelist, self.values = nodelist, values
        # By the values themselves: two rows never share what belongs to one of them.
        self.rows: dict[tuple[Any, ...], SafeString] = {}

    def render(self, context: Context) -> SafeString:
        shown = [_plain(value.resolve(context, True)) for value in self.values]
        # With their types, since 1 and True are equal, and so are a safe text and one to escape.
        key = (get_language(), get_current_timezone_name(), *shown, *map(type, shown))
        row = self.rows.get(key)
        if row is None:
            if len(self.rows) >= MOST:
                self.rows.clear()
            row = self.rows[key] = self.nodelist.render(context)
        elif settings.KEPT_CHECKED and self.nodelist.render(context) != row:
            raise KeptDiffers(f"{self.origin}: {shown} do not say all that is shown")
        return row


class KeptDiffers(Exception):
    """What is kept under these values is not what would be shown now."""


def _plain(value: Any) -> Any:
    if isinstance(value, Promise):
        return str(value)
    if not isinstance(value, PLAIN):
        raise TemplateSyntaxError(f"{type(value).__name__} says more than a value to keep by.")
    return value
