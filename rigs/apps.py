"""App configuration."""

from __future__ import annotations

from django.apps import AppConfig


class RigsConfig(AppConfig):
    name = "rigs"
