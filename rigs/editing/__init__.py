"""Forms that change a rig, and what they do when two people change the same thing."""

from __future__ import annotations
