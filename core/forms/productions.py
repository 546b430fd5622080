"""Start and describe a production."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy

from core.forms.base import EditForm
from core.models import Production
from core.models.roles import Role


class ProductionForm(EditForm):
    class Meta:
        model = Production
        fields = ["name", "about"]
        labels = {"name": gettext_lazy("Name"), "about": gettext_lazy("About")}


class NewProductionForm(ProductionForm):
    roles = forms.MultipleChoiceField(
        label=gettext_lazy("what you do there"),
        choices=[choice for choice in Role.choices if choice[0] != Role.MANAGER],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy(
            "You become production manager as well, so that you can invite the others."
        ),
    )
