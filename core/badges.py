"""How each state looks: an icon, a word and a tone.

The tone never stands alone, so that nobody has to tell states by colour (WCAG, 1.4.1).
"""

from __future__ import annotations

from typing import NamedTuple

from django.utils.functional import Promise
from django.utils.translation import pgettext_lazy


class Look(NamedTuple):
    icon: str
    word: str | Promise
    tone: str  # ok, warn, bad, accent, calm or hollow: a class in components.css


LOOKS = {
    "signed": Look("badge-check", pgettext_lazy("state", "signed"), "ok"),
    "changed": Look("history", pgettext_lazy("state", "changed since"), "warn"),
    "withheld": Look("hand", pgettext_lazy("state", "withheld"), "bad"),
    "not_asked": Look("circle-dashed", pgettext_lazy("state", "not asked"), "hollow"),
    "asked": Look("send", pgettext_lazy("state", "asked"), "calm"),
    "open": Look("circle-dot", pgettext_lazy("state", "open"), "warn"),
    "led_to_change": Look("corner-down-right", pgettext_lazy("state", "led to change"), "accent"),
    "settled": Look("check", pgettext_lazy("state", "settled"), "calm"),
    "keep": Look("check-check", pgettext_lazy("state", "keep"), "ok"),
    "adjust": Look("sliders-horizontal", pgettext_lazy("state", "adjust"), "warn"),
    "reject": Look("ban", pgettext_lazy("state", "reject"), "bad"),
    "possible": Look("ear", pgettext_lazy("state", "possible"), "calm"),
    "chosen": Look("circle-check", pgettext_lazy("state", "chosen"), "ok"),
    "rejected": Look("circle-x", pgettext_lazy("state", "rejected"), "bad"),
    "unheard": Look("ear-off", pgettext_lazy("state", "not heard yet"), "hollow"),
    "decided": Look("circle-check", pgettext_lazy("state", "decided"), "calm"),
    "helped": Look("trending-up", pgettext_lazy("state", "it helped"), "ok"),
    "same": Look("equal", pgettext_lazy("state", "no difference"), "calm"),
    "worse": Look("trending-down", pgettext_lazy("state", "it got worse"), "bad"),
    "answered": Look("reply", pgettext_lazy("state", "answered"), "ok"),
    "acknowledged": Look("clipboard-check", pgettext_lazy("state", "acknowledged"), "ok"),
    "caution": Look("triangle-alert", pgettext_lazy("state", "caution"), "bad"),
    "look": Look("search", pgettext_lazy("state", "worth a look"), "warn"),
    "not_measured": Look("ruler", pgettext_lazy("state", "not measured"), "hollow"),
    "unable": Look("circle-alert", pgettext_lazy("state", "could not be checked"), "hollow"),
    "accepted": Look("check", pgettext_lazy("state", "accepted"), "calm"),
    "overdue": Look("calendar-x", pgettext_lazy("state", "overdue"), "bad"),
    "due": Look("calendar-clock", pgettext_lazy("state", "due"), "warn"),
    "never_noted": Look("circle-question-mark", pgettext_lazy("state", "never noted"), "hollow"),
    "later": Look("calendar", pgettext_lazy("state", "later"), "calm"),
    "when_worn": Look("eye", pgettext_lazy("state", "when it is worn"), "hollow"),
    "ok": Look("check", pgettext_lazy("state", "ok"), "ok"),
    "deviates": Look("triangle-alert", pgettext_lazy("state", "changed"), "warn"),
    "absent": Look("circle-slash", pgettext_lazy("state", "not used"), "bad"),
    "unmarked": Look("circle-dashed", pgettext_lazy("state", "not checked"), "hollow"),
    "done": Look("check", pgettext_lazy("state", "done"), "ok"),
    "taken_back": Look("undo-2", pgettext_lazy("state", "taken back"), "hollow"),
    "was": Look("check", pgettext_lazy("state", "it was that"), "ok"),
    "was_not": Look("circle-x", pgettext_lazy("state", "it was not that"), "bad"),
    "undecided": Look("circle-dashed", pgettext_lazy("state", "undecided"), "hollow"),
    "retired": Look("archive", pgettext_lazy("state", "retired"), "hollow"),
}
