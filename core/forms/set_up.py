"""The first person of a server: a password, and the production that they start with."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from core.forms.people import check_password, password_field
from core.forms.productions import NewProductionForm
from core.models import User


class SetUpForm(NewProductionForm):
    """Once somebody is in a production, the password alone."""

    field_order = ("password", "name", "roles")

    password = password_field()

    class Meta(NewProductionForm.Meta):
        fields = ["name"]
        labels = {"name": gettext_lazy("name of the act")}

    def __init__(self, *args: Any, person: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.person = person
        if person.memberships.exists():
            for name in ("name", "roles"):
                del self.fields[name]

    def clean_password(self) -> str:
        return check_password(self.cleaned_data["password"], self.person)
