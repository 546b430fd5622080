"""What would be if: a room's air, a cable, a distance, a tuning; see docs/air-and-what-if.md."""

from __future__ import annotations
