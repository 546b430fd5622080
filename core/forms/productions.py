"""Start and describe a production."""

from __future__ import annotations

from django import forms

from core.forms.base import EditForm
from core.models import Production
from core.models.roles import Role


class ProductionForm(EditForm):
    class Meta:
        model = Production
        fields = ["name", "about"]


class NewProductionForm(ProductionForm):
    roles = forms.MultipleChoiceField(
        label="what you do there",
        choices=[choice for choice in Role.choices if choice[0] != Role.MANAGER],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="You become production manager as well, so that you can invite the others.",
    )
