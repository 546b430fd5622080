"""Forms of rigs."""

from __future__ import annotations
