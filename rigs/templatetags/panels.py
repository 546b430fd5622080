"""{% panel p %}: what an app downstream shows on a page of rigs."""

from __future__ import annotations

from django import template
from django.template import Context
from django.utils.safestring import SafeString

from core.places import Panel

register = template.Library()


@register.simple_tag(takes_context=True)
def panel(context: Context, panel: Panel) -> SafeString:
    """Renders the panel's template with its own context on top of the page's."""
    engine = context.template.engine  # type: ignore[union-attr]
    # Taken off again afterwards: a panel must not leave names in the page’s context.
    with context.push(**panel.context):
        return SafeString(engine.get_template(panel.template).render(context))
