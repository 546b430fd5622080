"""Rules about one rig: one file each, listed in rigs.checks.registry. Pure: no database."""

from __future__ import annotations
