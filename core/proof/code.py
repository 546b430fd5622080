"""A checkpoint as people write it down: how many entries, and the beginning of the root. Pure.

`1204-K7QX-2MPD-9RTV-H3WA` is 80 bits of the root in letters and figures that cannot be taken for
others (base32 without I, L, O and U). Whoever wants another log with the same code has to try
2⁸⁰ of them.
"""

from __future__ import annotations

import re
import unicodedata
from typing import NamedTuple

from django.utils.translation import gettext

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LETTERS = 16
_ALIKE = str.maketrans("ILOU", "110V")
_CODE = re.compile(rf"(\d{{1,18}})[\s-]+((?:[{ALPHABET}][\s-]*){{{LETTERS}}})")


class NoCode(ValueError):
    """What was typed is no code of a checkpoint. The message says what one looks like."""


class Code(NamedTuple):
    """`beginning` is that of the root."""

    size: int
    beginning: str

    def fits(self, root: str) -> bool:
        """Whether it is the code of a tree with the hexadecimal `root`."""
        return _letters(root) == self.beginning


def short_code(size: int, root: str) -> str:
    """The code of a checkpoint; `root` is hexadecimal."""
    letters = _letters(root)
    return "-".join([str(size), *(letters[at : at + 4] for at in range(0, LETTERS, 4))])


def read_code(typed: str) -> Code:
    """The code in `typed`, whatever its spaces and small letters. Raises NoCode."""
    # Copied from a print, there are places between its letters at which a line may be broken.
    typed = "".join(each for each in typed if unicodedata.category(each) != "Cf")
    size, _, rest = typed.strip().upper().replace("–", "-").partition("-")
    match = _CODE.fullmatch(f"{size.strip()}-{rest.translate(_ALIKE)}")
    if not match:
        raise NoCode(
            gettext("“{typed}” is no code of a checkpoint. One looks like {example}.").format(
                typed=typed.strip()[:80], example="1204-K7QX-2MPD-9RTV-H3WA"
            )
        )
    return Code(int(match[1]), re.sub(r"[\s-]", "", match[2]))


def _letters(root: str) -> str:
    bits = int(root[: LETTERS * 5 // 4], 16)
    return "".join(ALPHABET[bits >> 5 * at & 31] for at in reversed(range(LETTERS)))
