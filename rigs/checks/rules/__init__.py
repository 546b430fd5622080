"""One rule a file, each listed in rigs.checks.registry. Pure: no Django, no database."""

from __future__ import annotations
