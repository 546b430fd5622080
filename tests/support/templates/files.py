"""Where the templates are."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]


def templates() -> list[Path]:
    return sorted(ROOT.glob("*/templates/**/*.html"))


def path_of(name: str) -> Path | None:
    return next(iter(ROOT.glob(f"*/templates/{name}")), None)
