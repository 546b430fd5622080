"""{% findings rig %} on a rig's page, {% findings rig about=input %} on a unit's or an input's."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import template
from django.template import Context
from django.utils.safestring import SafeString, mark_safe

from rigs.checks.acceptance import FindingWithWords, findings_with_words
from rigs.checks.findings import Finding
from rigs.checks.forms import AcceptForm
from rigs.checks.panels import about as those_about
from rigs.checks.panels import shown
from rigs.drawing.plots import draw
from rigs.models import Part, Rig

register = template.Library()


@register.inclusion_tag("rigs/checks/_findings.html", takes_context=True)
def findings(context: Context, rig: Rig, about: Part | None = None) -> dict[str, Any]:
    """The findings of a rig, or only those about one of its parts."""
    shown_here = those_about(_findings_of(context, rig), str(about.pk) if about else None)
    # An inclusion tag has a context of its own: what the forms inside need is handed on.
    passed_on = {name: context.get(name) for name in ("production", "may", "csrf_token", "request")}
    return {**passed_on, "rig": rig, "about": about, "shown": shown(shown_here)}


def _findings_of(context: Context, rig: Rig) -> list[FindingWithWords]:
    # Asked once for a page, however many of its parts show their findings.
    request = context["request"]
    asked: dict[UUID, list[FindingWithWords]] = getattr(request, "findings_of_rigs", {})
    if rig.pk not in asked:
        asked[rig.pk] = findings_with_words([rig])[rig.pk]
        request.findings_of_rigs = asked
    return asked[rig.pk]


@register.simple_tag
def finding_plot(finding: Finding) -> SafeString:
    """The plot of a finding that has one; every word in it is escaped where it is drawn."""
    if finding.picture is None:
        return SafeString("")
    return mark_safe(draw(finding.picture))  # noqa: S308


@register.simple_tag
def accept_form(finding: FindingWithWords, bound: AcceptForm | None = None) -> AcceptForm:
    """A finding's form: the bound one with what was typed, where it is that finding's."""
    signature = finding.finding.signature
    if bound and bound.data.get("signature") == signature:
        return bound
    return AcceptForm(signature=signature, opened=not finding.is_accepted)
