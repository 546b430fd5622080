"""Template tags of the interface: icons, form fields, state badges."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any, cast

from django import forms, template
from django.db.models.fields import BLANK_CHOICE_DASH
from django.forms import BoundField
from django.forms.utils import flatatt
from django.template import Context, Node
from django.template.base import Parser, TextNode, Token
from django.utils.functional import Promise
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from lucide.templatetags.lucide import lucide

from core import qr
from core.badges import LOOKS, Look
from core.languages import words as languages

register = template.Library()


@lru_cache(maxsize=256)
def _drawing(name: str) -> str:
    # None of it comes from a user: the name is written in a template, the drawing in the package.
    # A name that does not exist raises lucide.IconDoesNotExist.
    svg = lucide(name, size=20, stroke_width=1.75, focusable="false")
    return " ".join(svg.split()).removeprefix("<svg ")


@register.simple_tag
def icon(name: str, label: str = "") -> SafeString:
    """{% icon "mic" %}: decoration, hidden from screen readers; a `label` makes it a picture."""
    # A label that is translated is kept by what it says now.
    return _with_label(name, str(label) if isinstance(label, Promise) else label)


@lru_cache(maxsize=1024, typed=True)  # typed: a safe label and one to escape are not the same
def _with_label(name: str, label: str) -> SafeString:
    role = {"role": "img", "aria-label": label} if label else {"aria-hidden": "true"}
    attributes = flatatt({"class": f"icon icon-{name}", **role})  # escapes the label
    return mark_safe(f"<svg{attributes} {_drawing(name)}")  # noqa: S308


_each_time = register.tags["icon"]


@register.tag("icon")
def _drawn_icon(parser: Parser, token: Token) -> Node:
    """Drawn when its template is read, where nothing about it is known only later."""
    node: Any = _each_time(parser, token)
    given = [*node.args, *node.kwargs.values()]
    if node.target_var is not None or any(each.is_var or each.filters for each in given):
        return cast("Node", node)
    blank = Context()
    named = {name: each.resolve(blank) for name, each in node.kwargs.items()}
    if any(isinstance(each, Promise) for each in named.values()):
        return cast("Node", node)  # a label in the language of each reader
    return TextNode(icon(*(each.resolve(blank) for each in node.args), **named))


@register.simple_tag
def qr_code(address: str) -> SafeString:
    """{% qr_code url %}: the address as a QR code, to be scanned off the screen."""
    return qr.for_page(address)


@register.simple_block_tag(end_name="endsentence")
def sentence(content: str) -> SafeString:
    """{% sentence as explanation %}…{% endsentence %}: words over several lines, as one line.

    A tag of Django may not be broken over lines, so what is too long for an argument of one is
    written before it. What stands inside was escaped when it was rendered.
    """
    return SafeString(" ".join(content.split()))


@register.inclusion_tag("core/_field.html")
def field(bound: BoundField, **attributes: Any) -> dict[str, Any]:
    """{% field form.gain_db inputmode="decimal" %}: label, control, help and errors together.

    Extra attributes go to the control; an underscore in a name stands for a hyphen.
    """
    return {"field": bound, "attributes": attributes}


@register.simple_tag
def control(bound: BoundField, attributes: dict[str, Any] | None = None) -> SafeString:
    """The bare control of a field; numbers get a keypad, e-mail addresses their autocomplete."""
    _word_the_empty_choice(bound.field)
    given = {key.replace("_", "-"): value for key, value in (attributes or {}).items()}
    kind = getattr(bound.field.widget, "input_type", "")
    defaults = {"number": {"inputmode": "decimal"}, "email": {"autocomplete": "email"}}
    return bound.as_widget(attrs={**defaults.get(kind, {}), **bound.field.widget.attrs, **given})


def _word_the_empty_choice(field: forms.Field) -> None:
    """What Django writes as dashes in a list, in words that a screen reader can say."""
    dashes, words = BLANK_CHOICE_DASH[0], _("choose …") if field.required else _("none")
    if isinstance(field, forms.ModelChoiceField):
        if field.empty_label == dashes[1]:
            field.empty_label = words
    elif isinstance(field, forms.ChoiceField):
        listed: list[tuple[Any, Any]] = list(cast("Iterable[tuple[Any, Any]]", field.choices))
        field.choices = [(key, words if (key, text) == dashes else text) for key, text in listed]


@register.filter
def anchor(bound: BoundField) -> str:
    """The id an error summary links to: of the control, or of the first of a group."""
    if bound.field.widget.use_fieldset and bound.subwidgets:
        return bound.subwidgets[0].id_for_label or bound.auto_id
    return bound.id_for_label or bound.auto_id


@register.filter
def lead(words: object) -> str:
    """The words with a colon, so that more can follow; a question or “…” leads by itself."""
    return languages.lead(words)


@register.filter
def leading(words: object, what: object) -> str:
    """The words, a colon and what follows: “Piet Orloveen: Stage-right guitar”."""
    return languages.leading(words, what)


@register.filter
def listed(names: Iterable[object]) -> str:
    """“A, B”: names one after the other, without a word before the last."""
    return languages.each_of(names)


@register.filter
def apart(sayings: Iterable[object]) -> str:
    """“A; B”: what has commas of its own, one after the other."""
    return languages.apart(sayings)


@register.filter
def look(state: str) -> Look:
    """{% with badge=state|look %}: icon, word and tone. A state without a look is a KeyError."""
    return LOOKS[state]


@register.simple_tag(takes_context=True)
def current(context: Context, key: str) -> SafeString:
    """{% current item.key %}: marks the part of the navigation the page belongs to."""
    chosen = key == context.get("active_nav")
    return SafeString('aria-current="true"' if chosen else "")


@register.simple_tag(takes_context=True)
def current_among(context: Context, items: list[dict[str, str]]) -> SafeString:
    """Like `current`, for the menu that holds `items`."""
    chosen = context.get("active_nav") in {item["key"] for item in items}
    return SafeString("data-current" if chosen else "")
