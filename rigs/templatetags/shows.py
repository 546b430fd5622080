"""Template tags of shows."""

from __future__ import annotations

from django import template
from django.template import Context

from core.models import Player
from rigs.shows.players import WhoPlays

register = template.Library()


@register.simple_tag(takes_context=True)
def who_for(context: Context, player: Player) -> str:
    """{% who_for player %}: “X for Y” where `who` of the page says so, else the player’s name."""
    who: WhoPlays | None = context.get("who")
    return who.name_of(player) if who is not None else str(player)
