"""Template tags of rigs."""

from __future__ import annotations
