"""How each state looks: an icon, a word and a tone.

The tone never stands alone, so that nobody has to tell states by colour (WCAG, 1.4.1).
"""

from __future__ import annotations

from typing import NamedTuple


class Look(NamedTuple):
    icon: str
    word: str
    tone: str  # ok, warn, bad, accent, calm or hollow: a class in components.css


LOOKS = {
    "signed": Look("badge-check", "signed", "ok"),
    "changed": Look("history", "changed since", "warn"),
    "withheld": Look("hand", "withheld", "bad"),
    "not_asked": Look("circle-dashed", "not asked", "hollow"),
    "asked": Look("send", "asked", "calm"),
    "open": Look("circle-dot", "open", "warn"),
    "led_to_change": Look("corner-down-right", "led to change", "accent"),
    "settled": Look("check", "settled", "calm"),
    "keep": Look("check-check", "keep", "ok"),
    "adjust": Look("sliders-horizontal", "adjust", "warn"),
    "reject": Look("ban", "reject", "bad"),
    "possible": Look("ear", "possible", "calm"),
    "chosen": Look("circle-check", "chosen", "ok"),
    "rejected": Look("circle-x", "rejected", "bad"),
    "unheard": Look("ear-off", "not heard yet", "hollow"),
    "decided": Look("circle-check", "decided", "calm"),
    "helped": Look("trending-up", "it helped", "ok"),
    "same": Look("equal", "no difference", "calm"),
    "worse": Look("trending-down", "it got worse", "bad"),
    "answered": Look("reply", "answered", "ok"),
    "acknowledged": Look("clipboard-check", "acknowledged", "ok"),
    "caution": Look("triangle-alert", "caution", "bad"),
    "look": Look("search", "worth a look", "warn"),
    "not_measured": Look("ruler", "not measured", "hollow"),
    "unable": Look("circle-alert", "could not be checked", "hollow"),
    "accepted": Look("check", "accepted", "calm"),
    "overdue": Look("calendar-x", "overdue", "bad"),
    "due": Look("calendar-clock", "due", "warn"),
    "never_noted": Look("circle-question-mark", "never noted", "hollow"),
    "later": Look("calendar", "later", "calm"),
    "when_worn": Look("eye", "when it is worn", "hollow"),
    "ok": Look("check", "ok", "ok"),
    "deviates": Look("triangle-alert", "changed", "warn"),
    "absent": Look("circle-slash", "not used", "bad"),
    "unmarked": Look("circle-dashed", "not checked", "hollow"),
    "done": Look("check", "done", "ok"),
    "taken_back": Look("undo-2", "taken back", "hollow"),
    "was": Look("check", "it was that", "ok"),
    "was_not": Look("circle-x", "it was not that", "bad"),
    "undecided": Look("circle-dashed", "undecided", "hollow"),
    "retired": Look("archive", "retired", "hollow"),
}
