"""Clips: sounds stored as they came, under the hash of their bytes, and what is cut from them."""

from __future__ import annotations
