"""What somebody is in a production."""

from __future__ import annotations

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy


class Role(TextChoices):
    ENGINEER = "engineer", gettext_lazy("FOH engineer")
    MONITORS = "monitors", gettext_lazy("monitor engineer")
    TECH = "tech", gettext_lazy("backline tech")
    PLAYER = "player", gettext_lazy("player")
    CREW = "crew", gettext_lazy("crew")
    MANAGER = "manager", gettext_lazy("production manager")
