"""Which engines besides Chromium are there to be driven, and what brings those that are not."""

from __future__ import annotations

from pathlib import Path

FIREFOX = "/usr/bin/firefox-esr"
WEBKIT_DRIVER, SCREEN = "/usr/bin/WebKitWebDriver", "/usr/bin/Xvfb"
PACKAGES = {"firefox": "firefox-esr", "webkit": "webkit2gtk-driver and xvfb"}


def webkit_browser() -> str | None:
    """The one that comes with the library, newest of several."""
    found = sorted(str(each) for each in Path("/usr/lib").glob("*/webkit2gtk-4.1/MiniBrowser"))
    return found[-1] if found else None


def is_installed(engine: str) -> bool:
    if engine == "webkit" and webkit_browser() is None:
        return False
    programs = {"firefox": [FIREFOX], "webkit": [WEBKIT_DRIVER, SCREEN]}.get(engine, [])
    return all(Path(each).exists() for each in programs)


def left_out() -> list[str]:
    """A line for each engine that is not there."""
    return [
        f"The main path was left out in {engine}: install Debian’s {packages}."
        for engine, packages in PACKAGES.items()
        if not is_installed(engine)
    ]
