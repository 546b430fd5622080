"""Rules that read a rig and say what a careful engineer would want to know (docs/findings.md)."""

from __future__ import annotations
