"""What stays in sight wherever monitor mixes are read, signed or printed. Pure."""

from __future__ import annotations

from core.languages.marked import gettext_noop
from rigs.cautions import Caution

# The limiter of an in-ear system is the last thing between a fault and an ear: common practice, no
# source. What levels are allowed is left to local rules and to those who may measure.
HEARING = Caution(
    gettext_noop("Hearing"),
    gettext_noop(
        "Begin low, limiter on, and never above what the player asks for; in-ears and wedges reach "
        "levels that damage hearing within minutes. Local rules on sound levels and whoever is "
        "qualified to measure at the ear come first."
    ),
    "ear",
)
