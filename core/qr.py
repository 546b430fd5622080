"""QR codes of addresses (ISO/IEC 18004, drawn by segno): on a page, on paper, on a terminal.

Error correction M, with the quiet zone of four modules that the standard asks for.
"""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any

import segno
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

QUIET_ZONE = 4  # modules


def for_page(address: str) -> SafeString:
    """SVG to stand in HTML: black on white in every theme, so that a phone reads it."""
    drawn: str = _code(address).svg_inline(
        omitsize=True,
        border=QUIET_ZONE,
        dark="#000",
        light="#fff",
        svgclass="qr",
        lineclass=None,
        title=_("The link, to be scanned with a phone"),
    )
    # Only modules drawn by the library: the address itself is not in it as text.
    return SafeString(drawn)


@lru_cache(maxsize=1024)  # about 3 kB each; a sheet of labels has some hundred, most of them again
def for_paper(address: str) -> bytes:
    """An SVG file. Choosing the best of eight masks takes most of the time that a sheet takes."""
    out = io.BytesIO()
    _code(address).save(out, kind="svg", scale=4, border=QUIET_ZONE)
    return out.getvalue()


def for_terminal(address: str, *, colours: bool) -> str:
    """Lines of half blocks, a module wide and two high, with a line break after each.

    `colours` sets white on black by ANSI codes (ECMA-48), so that a terminal with a light ground
    shows it the right way round, too.
    """
    out = io.StringIO()
    _code(address).terminal(out, border=QUIET_ZONE, compact=True)
    lines = out.getvalue().splitlines()
    if colours:
        lines = [f"\x1b[97;40m{line}\x1b[0m" for line in lines]
    return "".join(f"{line}\n" for line in lines)


def _code(address: str) -> Any:
    # Micro QR codes are smaller, and cameras of phones commonly do not read them (common
    # practice, no source).
    return segno.make(address, error="m", micro=False)
