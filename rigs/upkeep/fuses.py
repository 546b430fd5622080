"""What a fuse's marking says: “T 1 A 250 V” is time-lag, 1 A, 250 V. Pure.

Letters of IEC 60127-1 (characteristics FF, F, M, T, TT) and of IEC 60127-2 (breaking capacity L, H,
E), from memory. Only what is written is read out; nothing is worked out or supplied.
"""

from __future__ import annotations

import re
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import number

SPEEDS = {
    "FF": gettext_lazy("very quick acting"),
    "F": gettext_lazy("quick acting"),
    "M": gettext_lazy("medium time-lag"),
    "T": gettext_lazy("time-lag"),
    "TT": gettext_lazy("long time-lag"),
}
CAPACITIES = {
    "L": gettext_lazy("low breaking capacity"),
    "H": gettext_lazy("high breaking capacity"),
    "E": gettext_lazy("enhanced breaking capacity"),
}
SOURCE = gettext_lazy("Letters as in IEC 60127.")
# No letter may stand before the first one, or the last letter of any word would be a speed.
_MARK = re.compile(
    r"""(?<![A-Za-z])(?P<speed>FF|F|M|TT|T)\s*
    (?P<amount>\d+(?:[.,]\d+)?)\s*(?P<unit>mA|A)
    (?:\s*(?P<capacity>[LHE])(?![A-Za-z]))?
    (?:\s*(?P<volts>\d{2,4})\s*V(?![A-Za-z]))?""",
    re.VERBOSE,
)


def read_fuse(words: str) -> str:
    """The marking of a fuse in words: “time-lag, 1 A, 250 V”; empty if none is recognised.

    The letters are those of the standard and stand in front of the rating in capitals.
    """
    match = _MARK.search(words)
    if match is None:
        return ""
    amount = number(Decimal(match["amount"].replace(",", ".")))
    words_of_fuse = [str(SPEEDS[match["speed"]]), f"{amount} {match['unit']}"]
    if match["capacity"]:
        words_of_fuse.append(str(CAPACITIES[match["capacity"]]))
    if match["volts"]:
        words_of_fuse.append(f"{match['volts']} V")
    return _(", ").join(words_of_fuse)
