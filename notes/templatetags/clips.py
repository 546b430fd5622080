"""Template filters of clips: levels and places in a sound as people write them."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.utils.translation import gettext as _

from notes.clips.figures import signed
from notes.clips.times import format_time
from notes.models import Clip

register = template.Library()


@register.filter
def level(value: float | None) -> str:
    """“−15.8”, with a minus sign; nothing for what has no value."""
    return "" if value is None else signed(value)


@register.filter
def clock(seconds: Decimal | float) -> str:
    """{{ clip.starts_s|clock }} → “1:12.5”, minutes and seconds."""
    return format_time(seconds)


@register.filter
def part(clip: Clip) -> str:
    """{{ clip|part }} → “0:03.5 to 0:08, channels 3 and 4 of 16”. Reads the sound."""
    ends = format_time(clip.starts_s + clip.seconds)
    if clip.sound.channels == 1:
        which = _("one channel")
    elif clip.right is not None and clip.sound.channels == 2:
        which = _("both channels")
    elif clip.right is None:
        which = _("channel {channel} of {count}").format(
            channel=clip.left, count=clip.sound.channels
        )
    else:
        which = _("channels {left} and {right} of {count}").format(
            left=clip.left, right=clip.right, count=clip.sound.channels
        )
    return _("{start} to {end}, {channels}").format(
        start=format_time(clip.starts_s), end=ends, channels=which
    )
