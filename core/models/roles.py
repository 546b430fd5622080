"""What somebody is in a production."""

from __future__ import annotations

from django.db.models import TextChoices


class Role(TextChoices):
    ENGINEER = "engineer", "FOH engineer"
    MONITORS = "monitors", "monitor engineer"
    TECH = "tech", "backline tech"
    PLAYER = "player", "player"
    CREW = "crew", "crew"
    MANAGER = "manager", "production manager"
