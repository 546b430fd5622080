"""App configuration."""

from __future__ import annotations

from django.apps import AppConfig


class NotesConfig(AppConfig):
    name = "notes"
