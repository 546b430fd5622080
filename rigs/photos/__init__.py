"""Photos: prepared once (upright, small, without metadata), kept under the hash of their bytes."""

from __future__ import annotations
