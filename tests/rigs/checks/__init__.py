"""Findings: the rules, the words that accept them, the pages that show them."""

from __future__ import annotations
