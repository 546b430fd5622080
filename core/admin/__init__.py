"""The administrator's view of core: accounts, productions, tours, songs, links."""

from __future__ import annotations

from core.admin import links, productions, users

__all__ = ["links", "productions", "users"]
