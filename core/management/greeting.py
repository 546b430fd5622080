"""What the commands of a new server ask and print: the first person, links and their QR codes."""

from __future__ import annotations

from collections.abc import Callable

from django.core.exceptions import ValidationError
from django.core.management.base import CommandError, OutputWrapper

from core import qr
from core.env import Env
from core.models import User
from core.services import first_person

NAME, EMAIL = "TONELEDGER_FIRST_NAME", "TONELEDGER_FIRST_EMAIL"
HOW_TO_SAY = (
    "Nobody has an account on this server yet. Say who is to be the first, by "
    f"--name and --email or in {NAME} and {EMAIL}:\n"
    '  python manage.py first_person --name "Your Name" --email you@example.org'
)
Ask = Callable[[str], str]


class FirstPersonMissing(CommandError):
    """Neither options nor the environment say who is the first, and there is nobody to ask."""


def show_address(out: OutputWrapper, address: str) -> None:
    """The address in a line of its own, and its QR code below."""
    out.write(f"\n  {address}\n")
    out.write(qr.for_terminal(address, colours=out.isatty()))


def greet_first_person(
    out: OutputWrapper, *, name: str, email: str, base: str, ask: Ask | None
) -> None:
    """Print the set-up link of the first person, whom options, environment or `ask` name.

    Whoever was named before and has not used the link gets a new one. Nothing but a line is
    printed where somebody has an account. Raises FirstPersonMissing; CommandError for a name or
    an address that will not do.
    """
    if first_person.is_anybody_here():
        out.write("There are accounts on this server: log in, or ask for an invitation.")
        return
    name, email = name or Env().text(NAME), email or Env().text(EMAIL)
    person = first_person.first_person_waiting()
    # Another address: the first person was named wrongly, and is named anew.
    if person is None or (email and email.strip().lower() != person.email):
        person = _named(out, name, email, ask)
    link = first_person.make_link(person)
    out.write(
        f"\n{person}, open this link to choose your password. It works once, within three days; "
        "a new one closes it."
    )
    show_address(out, f"{base}{link.path}")


def _named(out: OutputWrapper, name: str, email: str, ask: Ask | None) -> User:
    if ask is None and not (name and email):
        raise FirstPersonMissing(HOW_TO_SAY)
    if ask is not None and not (name and email):
        out.write("\nNobody has an account on this server yet. Who is the first person?")
    while True:
        typed_name = name or (ask("Your name: ") if ask else "")
        typed_email = email or (ask("Your e-mail: ") if ask else "")
        try:
            return first_person.make_first_person(name=typed_name, email=typed_email)
        except ValidationError as error:
            wrong = "\n".join(_in_words(error))
            if ask is None or (name and email):
                raise CommandError(wrong) from None
            out.write(wrong)


def _in_words(error: ValidationError) -> list[str]:
    if not hasattr(error, "error_dict"):
        return list(error.messages)
    labels = {"name": "Name", "email": "E-mail", "__all__": "E-mail"}
    return [
        f"{labels.get(field, field)}: {message}"
        for field, messages in error.message_dict.items()
        for message in messages
    ]
