"""The administrator's view of rigs.

Parts change through the gateway, with a reason, as anywhere else. The history is read-only.
"""

from __future__ import annotations

from typing import Any, ClassVar, cast

from django.contrib import admin
from django.http import HttpRequest

from core.admin.base import ReadOnly, Undeletable
from core.models import User
from rigs.editing.guarded import GuardedForm
from rigs.editing.kinds import ControlForm, InputForm, LinkForm, RigForm, UnitForm
from rigs.editing.part_forms import PartForm
from rigs.editing.submit import hand_over
from rigs.inputs.devices import is_mentioned
from rigs.models import (
    BacklineAnswer,
    BacklineChange,
    BacklineLine,
    CarnetGoods,
    CarnetGoodsChange,
    Changeover,
    ChangeoverChange,
    ChangeoverMark,
    ChangeoverStep,
    ChangeRow,
    Control,
    ControlAtShow,
    Device,
    Fact,
    Group,
    Input,
    KeyFrame,
    Link,
    Member,
    PanelCheck,
    Part,
    Photo,
    Pin,
    Revision,
    Rig,
    Scene,
    SceneEntry,
    SongSetting,
    Source,
    Spare,
    StoredPhoto,
    Tracked,
    TurnBack,
    Unit,
    UnitAtShow,
    UnitAtShowChange,
    UpkeepEntry,
)

MEANWHILE = (
    "Someone else changed this meanwhile, and nothing was saved. Note what you typed, open "
    "this page anew to see what is there now, and make your change again. The part’s own page in "
    "the production shows both side by side and lets you choose."
)


class AdminForm(PartForm):
    """A form for the admin, which checks and then saves, where the gateway does both at once."""

    author: User
    handed_over = False

    def __init__(
        self, data: Any = None, files: Any = None, *, instance: Tracked, initial: Any = None
    ) -> None:
        rig = instance.rig if isinstance(instance, Part) else cast("Rig", instance)
        super().__init__(rig, instance, data, ask_reason=True)

    def is_valid(self) -> bool:
        if not super().is_valid():
            return False
        # Written while the form can still refuse: after this the admin takes it for saved. Once
        # only, because is_valid may be called again.
        if not self.handed_over:
            self.handed_over = True
            outcome = hand_over(cast("GuardedForm", self), author=self.author)
            if outcome.form.conflicted:
                self.add_error(None, MEANWHILE)
        return not self.errors

    def again(self, conflict: Any) -> Any:
        self.conflicted = True
        return self

    def save_m2m(self) -> None:
        """Called by the admin. Nothing is left to save: the gateway has written the whole part."""

    def save(self, commit: bool = True) -> Any:
        return type(self.row)._default_manager.get(pk=self.row.pk)


class RigAdminForm(AdminForm, RigForm):
    class Meta(RigForm.Meta):
        pass


class UnitAdminForm(AdminForm, UnitForm):
    class Meta(UnitForm.Meta):
        pass

    def limit_choices(self) -> None:
        """The admin lists its fields beforehand: all of them stand, whatever the gear."""


class ControlAdminForm(AdminForm, ControlForm):
    class Meta(ControlForm.Meta):
        pass


class LinkAdminForm(AdminForm, LinkForm):
    class Meta(LinkForm.Meta):
        pass


class InputAdminForm(AdminForm, InputForm):
    class Meta(InputForm.Meta):
        pass


class TrackedAdmin(admin.ModelAdmin):  # type: ignore[type-arg]
    """Corrections of parts, with a reason. They are added and retired on their own pages."""

    form: type[AdminForm]

    def get_form(
        self, request: HttpRequest, obj: Any = None, change: bool = False, **more: Any
    ) -> Any:
        # A class for each request: the admin makes the form itself and gives it no user.
        class AuthoredForm(self.form):  # type: ignore[name-defined,misc]
            author = request.user

        return AuthoredForm

    def get_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        return [*(self.form._meta.fields or ()), "base", "reason_kind", "reason_words"]

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        # A retired part is restored on its own page, before anybody edits it.
        return super().has_change_permission(request, obj) and not (obj and obj.retired)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def save_model(self, request: HttpRequest, obj: Any, form: Any, change: bool) -> None:
        """The form has handed the change to the gateway."""


@admin.register(Rig)
class RigAdmin(TrackedAdmin):
    form = RigAdminForm
    list_display = ("name", "player", "variant", "production", "head_number", "retired")
    list_select_related = ("player", "production")
    list_filter = ("variant", "retired")
    search_fields = ("name", "player__name", "production__name")


class PartAdmin(TrackedAdmin):
    list_filter = ("retired",)
    list_select_related: ClassVar[tuple[str, ...]] = ("rig",)


@admin.register(Unit)
class UnitAdmin(PartAdmin):
    form = UnitAdminForm
    list_display = ("name", "gear", "rig", "retired")
    search_fields = ("name", "maker", "rig__name")


@admin.register(Control)
class ControlAdmin(PartAdmin):
    form = ControlAdminForm
    list_display = ("name", "setting", "unit", "rig", "retired")
    list_select_related = ("rig", "unit")
    search_fields = ("name", "unit__name", "rig__name")


@admin.register(Link)
class LinkAdmin(PartAdmin):
    form = LinkAdminForm
    list_display = ("__str__", "carries", "rig", "retired")
    list_select_related = ("rig", "source", "target")
    search_fields = ("cable", "rig__name")


@admin.register(Input)
class InputAdmin(PartAdmin):
    form = InputAdminForm

    def get_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        return [*super().get_fields(request, obj), "decided"]

    list_display = ("__str__", "device", "rig", "retired")
    list_select_related = ("rig", "device")
    search_fields = ("name", "device__name", "rig__name")


@admin.register(Device)
class DeviceAdmin(Undeletable):
    """Devices. What a rig's history relies on cannot be edited, as on the device's own page."""

    list_display = ("__str__", "form", "principle", "production", "retired_at")
    list_select_related = ("production",)
    list_filter = ("form", "principle")
    search_fields = ("name", "maker", "production__name")

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> tuple[str, ...]:
        if obj is None:
            return ("retired_at",)
        fixed = Device.IDENTITY if is_mentioned(obj) else ()
        return ("retired_at", "production", *fixed)


@admin.register(Revision)
class RevisionAdmin(ReadOnly):
    list_display = ("rig", "number", "author_name", "at", "reason_kind")
    list_select_related = ("rig",)
    list_filter = ("reason_kind",)
    search_fields = ("rig__name", "author_name", "reason_words")
    date_hierarchy = "at"


@admin.register(ChangeRow)
class ChangeRowAdmin(ReadOnly):
    list_display = ("revision", "kind", "field", "part")
    list_select_related = ("revision__rig",)
    list_filter = ("kind",)


@admin.register(KeyFrame)
class KeyFrameAdmin(ReadOnly):
    list_display = ("rig", "number", "body_sha256")
    list_select_related = ("rig",)
    # Compressed bytes, which no page can show.
    exclude = ("body",)


@admin.register(Fact, Group, Member, Photo, Pin, Scene, SceneEntry, SongSetting, Source, Spare)
class PartReadOnlyAdmin(ReadOnly):
    """Parts that are changed only on the page of the unit, or where the photo is shown."""

    list_display = ("__str__", "rig", "retired")
    list_select_related = ("rig",)


@admin.register(StoredPhoto)
class StoredPhotoAdmin(ReadOnly):
    list_display = ("__str__", "production", "taken_by", "stored_at")
    list_select_related = ("production", "taken_by")


@admin.register(UpkeepEntry)
class UpkeepEntryAdmin(ReadOnly):
    list_display = ("said_of", "done_on", "show", "by_name", "rig")
    list_select_related = ("show__leg", "rig")
    search_fields = ("said_of", "by_name", "rig__name")
    date_hierarchy = "done_on"


@admin.register(UnitAtShow)
class UnitAtShowAdmin(ReadOnly):
    list_display = ("__str__", "lasts", "by_name", "at", "withdrawn_at")
    list_select_related = ("unit", "show")
    list_filter = ("what", "lasts", "fared")
    search_fields = ("maker", "model", "from_whom", "unit__name")
    date_hierarchy = "at"


@admin.register(ControlAtShow)
class ControlAtShowAdmin(ReadOnly):
    list_display = ("__str__", "row")
    list_select_related = ("row__unit", "row__show")


@admin.register(PanelCheck)
class PanelCheckAdmin(ReadOnly):
    list_display = ("__str__", "show", "by_name", "at", "confirmed_name", "confirmed_at")
    list_select_related = ("reference", "show")
    search_fields = ("reference__caption", "by_name", "confirmed_name")
    date_hierarchy = "at"


@admin.register(TurnBack)
class TurnBackAdmin(ReadOnly):
    list_display = ("__str__", "seen", "by_name", "at", "done_name", "done_at")
    list_select_related = ("control",)
    search_fields = ("control__name", "by_name", "done_name")
    date_hierarchy = "at"


@admin.register(UnitAtShowChange)
class UnitAtShowChangeAdmin(ReadOnly):
    list_display = ("__str__", "at")
    list_select_related = ("row__unit", "row__show")
    search_fields = ("by_name",)
    date_hierarchy = "at"


@admin.register(BacklineLine)
class BacklineLineAdmin(ReadOnly):
    list_display = ("__str__", "leg", "show", "retired_at")
    list_select_related = ("leg", "show")
    search_fields = ("what", "wanted", "accepted", "refused", "notes")


@admin.register(BacklineAnswer)
class BacklineAnswerAdmin(ReadOnly):
    list_display = ("__str__", "offered", "reply", "came")
    list_select_related = ("line", "show")
    list_filter = ("reply",)
    search_fields = ("offered", "from_whom", "came")


@admin.register(CarnetGoods)
class CarnetGoodsAdmin(ReadOnly):
    list_display = ("__str__", "kind", "production", "retired_at")
    list_select_related = ("production",)
    list_filter = ("kind",)
    search_fields = ("what", "packed_in", "serial")


@admin.register(CarnetGoodsChange)
class CarnetGoodsChangeAdmin(ReadOnly):
    list_display = ("__str__", "at")
    list_select_related = ("goods",)
    search_fields = ("by_name",)
    date_hierarchy = "at"


@admin.register(BacklineChange)
class BacklineChangeAdmin(ReadOnly):
    list_display = ("__str__", "at")
    list_select_related = ("line",)
    search_fields = ("by_name",)
    date_hierarchy = "at"


@admin.register(Changeover)
class ChangeoverAdmin(ReadOnly):
    list_display = ("__str__", "there_s", "version")
    list_select_related = ("show",)


@admin.register(ChangeoverStep)
class ChangeoverStepAdmin(ReadOnly):
    list_display = ("__str__", "changeover", "part", "taken_out")
    list_select_related = ("changeover__show",)
    list_filter = ("part", "taken_out")
    search_fields = ("words", "place", "name")


@admin.register(ChangeoverChange)
class ChangeoverChangeAdmin(ReadOnly):
    list_display = ("__str__", "by_name", "at")
    list_select_related = ("changeover__show",)
    search_fields = ("by_name",)
    date_hierarchy = "at"


@admin.register(ChangeoverMark)
class ChangeoverMarkAdmin(ReadOnly):
    list_display = ("__str__", "by_name", "at")
    list_select_related = ("changeover__show", "step")
    list_filter = ("what",)
    search_fields = ("by_name",)
    date_hierarchy = "at"
