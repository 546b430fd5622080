"""The one seam through which an app is told what only apps further downstream know."""

from __future__ import annotations

from collections.abc import Callable
from types import ModuleType
from typing import Any, Generic, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


class Hook(Generic[P, R]):
    """A place where apps further downstream plug in functions of one signature.

    Hooks are declared in the `places` module of the app that calls them, and filled in
    `AppConfig.ready()` of the apps that know something. `about` says what a place is for.
    """

    def __init__(self, about: str) -> None:
        self.about = about
        self.providers: list[Callable[P, R | None]] = []

    def add(self, *providers: Callable[P, R | None]) -> None:
        """Plug functions in, after those that are there; each of them only once."""
        # ready() may run more than once in one process, as it does in tests.
        self.providers += [p for p in dict.fromkeys(providers) if p not in self.providers]

    def call(self, *args: P.args, **kwargs: P.kwargs) -> list[R]:
        """What each provider answers, in the order they were added; None is left out."""
        answers = [provider(*args, **kwargs) for provider in self.providers]
        return [answer for answer in answers if answer is not None]

    def first(self, *args: P.args, **kwargs: P.kwargs) -> R | None:
        """The first answer that is not None; no provider after it is asked."""
        answers = (provider(*args, **kwargs) for provider in self.providers)
        return next((answer for answer in answers if answer is not None), None)


def hooks_of(places: ModuleType) -> dict[str, Hook[Any, Any]]:
    """The hooks that a `places` module declares, by name, in the order of the module."""
    return {name: each for name, each in vars(places).items() if isinstance(each, Hook)}
