"""The API of what has a form of its own on a page: the same form checks and stores what is sent."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar, cast

from django import forms
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView
from core.api.errors import ApiError
from core.models import User
from rigs.editing.refusable import Refusable


def refused(form: forms.BaseForm) -> ApiError:
    told = {name: [str(error) for error in errors] for name, errors in form.errors.items()}
    words = " ".join(error for errors in told.values() for error in errors)
    return ApiError(status.HTTP_400_BAD_REQUEST, "unreadable", words, fields=told)


def fill(form_class: type[Refusable], instance: Any, request: Request, sent: Any) -> Any:
    """Save what was sent by the form of the page; who sends no version means what is there now."""
    data = QueryDict(mutable=True)
    for name, value in sent.items():
        if isinstance(value, list):
            data.setlist(name, [str(each) for each in value])
        else:
            # What is left out would stay as it is; all is sent, so nothing means none.
            data[name] = "" if value is None else str(value)
    form = form_class(data, instance=instance, by=cast(User, request.user))
    # What a page tells itself out of sight, its version and what it showed, as it would be now.
    for name, field in form.fields.items():
        if field.widget.is_hidden:
            data.setdefault(name, str(form.get_initial_for_field(field, name)))
    if not form.try_save():
        raise refused(form)
    return form.instance


class OwnFormView(ProductionView):
    """What a production has, `named` so in the address: to add, and below it to change one."""

    pagination_class = None  # type: ignore[assignment]  # each is read by itself
    write: ClassVar = Action.EDIT_RIG
    model: ClassVar[Any]  # a Retirable of a production
    form_class: ClassVar[type[Refusable]]
    named: ClassVar[str]  # in the address

    def get_object(self) -> Any:
        there = self.model.objects.live().select_related("production")
        return get_object_or_404(there, pk=self.kwargs[self.named], production=self.production)

    def _saved(self, request: Request, instance: Any, code: int = status.HTTP_200_OK) -> Response:
        sent = self.get_serializer(data=request.data)
        sent.is_valid(raise_exception=True)
        saved = fill(self.form_class, instance, request, sent.validated_data)
        return Response(self.get_serializer(_as_typed(self.form_class, saved)).data, code)


def _as_typed(form_class: type[Refusable], saved: Any) -> dict[str, Any]:
    """A thing in the words in which it is sent."""
    shown = form_class(instance=saved)
    told = {name: shown.get_initial_for_field(shown.fields[name], name) for name in shown.fields}
    return {**told, "pk": saved.pk, "version": saved.version}


class NewThing(OwnFormView):
    def post(self, request: Request, **_: Any) -> Response:
        return self._saved(request, self.model(production=self.production), status.HTTP_201_CREATED)


class OneThing(OwnFormView):
    retire: ClassVar[Callable[..., None]]

    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(_as_typed(self.form_class, self.get_object())).data)

    def put(self, request: Request, **_: Any) -> Response:
        return self._saved(request, self.get_object())

    def delete(self, request: Request, **_: Any) -> Response:
        type(self).retire(self.get_object(), by=cast(User, request.user))
        return Response(status=status.HTTP_204_NO_CONTENT)
