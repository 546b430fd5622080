"""Rules about the stage of a show: one file each, listed in rigs.checks.registry. Pure."""

from __future__ import annotations
