"""One rule of a stage a file, each listed in rigs.checks.registry. Pure, as those of a rig."""

from __future__ import annotations
