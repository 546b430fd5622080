"""A box and a sub-snake of the small production, and more inputs."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from rigs.changes.edits import Add
from rigs.models import Input, PatchBox, PatchRun
from rigs.patch.services import add_run, save_box
from tests.support.world import World


def make_box(world: World, mark: str = "A", **more: Any) -> PatchBox:
    values = {"name": f"Stage box {mark}", "ways": 16, **more}
    box = PatchBox(production=world.production, mark=mark, **values)
    return save_box(box, by=world.tech)


def make_snake(world: World, main: PatchBox) -> PatchBox:
    snake = make_box(world, "D", name="Drum snake", kind="snake", ways=8, to_desk=False)
    add_run(PatchRun(source=snake, first=1, target=main, target_first=9, count=8), by=world.tech)
    return snake


def add_inputs(world: World, first: int, count: int, **more: Any) -> list[Input]:
    ids = [str(uuid4()) for _ in range(count)]
    world.record(
        *(
            Add(pk, "input", {"name": f"Line {first + n}", "number": first + n, **more})
            for n, pk in enumerate(ids)
        )
    )
    return list(Input.objects.filter(pk__in=ids).order_by("number"))
