"""Draw the icons of the installed app anew, from `mark.svg` and the icons of the pages.

`python -m tests.bench.app_icons` writes core/static/core/img/*.png. The safe circle of a maskable
icon has 80 % of its width (W3C, Web Application Manifest, “purpose”); of a monochrome one only the
alpha counts (same place). 180 px and a square ground are what Apple's guides ask of a touch icon
(from memory).
"""

from __future__ import annotations

import os
from pathlib import Path

import django
from playwright.sync_api import Page, sync_playwright

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "core.settings")
django.setup()

from lucide.templatetags.lucide import lucide

from core.telephone.manifest import GROUND, SHORTCUT_SIZE
from tests.conftest import find_browser

FOLDER = Path(__file__).parents[2] / "core/static/core/img"
INK = "#e6a0b7"  # --accent of the dark theme, as in the mark
SHORTCUTS = {
    "note": "notebook-pen",
    "show": "calendar-range",
    "kept": "smartphone",
    "waiting": "send",
}


def marks() -> dict[str, tuple[int, str]]:
    """By the name of the file, its width and the picture, drawn on 100 by 100."""
    mark = (FOLDER / "mark.svg").read_text()
    bare = mark.replace('rx="7" ', "")  # the ground fills the square; a device cuts its own shape
    without = mark.replace('<rect width="32" height="32" rx="7" fill="#141110"/>', "")
    assert mark not in (bare, without)
    drawn = {f"icon-any-{size}": (size, placed(mark, 100)) for size in (192, 512)}
    for size in (192, 512):
        drawn[f"icon-maskable-{size}"] = (size, ground() + placed(without, 80))
    drawn["icon-monochrome-512"] = (512, placed(without.replace(INK, "#fff"), 80))
    drawn["icon-apple-180"] = (180, placed(bare, 100))
    for key, name in SHORTCUTS.items():
        drawn[f"shortcut-{key}-{SHORTCUT_SIZE}"] = (SHORTCUT_SIZE, shortcut(name))
    return drawn


def ground() -> str:
    return f'<rect width="100" height="100" fill="{GROUND}"/>'


def placed(svg: str, percent: float) -> str:
    at = (100 - percent) / 2
    return svg.replace("<svg ", f'<svg x="{at}" y="{at}" width="{percent}" height="{percent}" ', 1)


def shortcut(name: str) -> str:
    """An icon of the pages in the colour of the mark."""
    svg = str(lucide(name, size=24, stroke_width=1.75))
    return f'<circle cx="50" cy="50" r="50" fill="{GROUND}"/>' + placed_icon(svg, 52)


def placed_icon(svg: str, percent: float) -> str:
    return placed(svg.replace(' width="24" height="24"', "").replace("currentColor", INK), percent)


def draw(page: Page, name: str, size: int, picture: str) -> None:
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" width="{size}">'
    page.set_viewport_size({"width": size, "height": size})
    page.set_content(f'<body style="margin:0;display:flex">{svg}{picture}</svg></body>')
    page.screenshot(path=FOLDER / f"{name}.png", omit_background=True)


def main() -> None:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_browser(), args=["--no-sandbox"])
        page = browser.new_page()
        for name, (size, picture) in marks().items():
            draw(page, name, size, picture)
        browser.close()


if __name__ == "__main__":
    main()
