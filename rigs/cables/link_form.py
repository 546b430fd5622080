"""One new cable, which is what is usual between its two ends unless somebody says otherwise."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from rigs.cables.usual import usual_cable
from rigs.editing.kinds import LinkForm


class NewLinkForm(LinkForm):
    """A new cable. Where what it carries is left open, that and empty fields become as usual."""

    def limit_choices(self) -> None:
        super().limit_choices()
        carries: Any = self.fields["carries"]
        carries.required = False
        carries.choices = [
            ("", _("as usual between the two, with its usual lead")),
            *carries.choices,
        ]
        self.initial["carries"] = ""

    def for_another(self) -> dict[str, Any]:
        """The next cable comes from where the last one went; what it carries follows its ends."""
        return {"source": self["target"].value()}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        source, target = cleaned.get("source"), cleaned.get("target")
        if cleaned.get("carries") or not (source and target):
            return cleaned
        sockets = cleaned.get("from_socket", ""), cleaned.get("to_socket", "")
        usual = usual_cable(source.traits, target.traits, *sockets)
        cleaned["carries"] = usual.carries
        for name in ("cable", "connectors"):
            cleaned[name] = cleaned.get(name) or getattr(usual, name)
        if cleaned.get("length_m") is None and usual.length and "length_m" not in self.errors:
            cleaned["length_m"], cleaned["length_unit"] = usual.length
        return cleaned
