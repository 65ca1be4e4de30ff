"""The admin site: people and organisations, written through the trail. The rest can be seen there and not changed."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.models import Group
from django.utils.translation import gettext_lazy as _

from stillroom.records import trail
from stillroom.records.models import (
    Assessment,
    Cabinet,
    CabinetDefinition,
    CalendarAddress,
    Calibration,
    Event,
    FilterChange,
    Instrument,
    Membership,
    Organisation,
    Reading,
    Review,
    RoomDefinition,
    Series,
    StoredFile,
    Strike,
    User,
    Validation,
    Visit,
    Withdrawal,
)
from stillroom.records.models.people import hashed_first
from stillroom.records.tenancy import membership_of, visible

admin.site.unregister(Group)  # rights come from a person's place in an organisation


class ThroughTrail:
    """What is sent here is written as one transaction of the trail."""

    def changeform_view(self, request, *args, **kwargs):
        if request.method != "POST":
            return super().changeform_view(request, *args, **kwargs)
        with trail.writing(None, request.user, reason="changed in the admin site"):
            return super().changeform_view(request, *args, **kwargs)

    def has_delete_permission(self, request, obj=None):
        return False


class MembershipInline(admin.TabularInline):
    model = Membership
    extra = 0


@admin.register(User)
class PersonAdmin(ThroughTrail, UserAdmin):
    fieldsets = (
        (None, {"fields": ("username", "full_name", "email", "password")}),
        (_("Rights"), {"fields": ("is_active", "is_staff", "is_superuser")}),
        (_("Dates"), {"fields": ("last_login", "date_joined")}),
    )
    readonly_fields = ("last_login", "date_joined")
    list_display = ("username", "full_name", "is_active", "is_staff")
    list_filter = ("is_active", "is_staff")
    search_fields = ("username", "full_name", "email")
    inlines = (MembershipInline,)

    def get_readonly_fields(self, request, obj=None):
        return (*self.readonly_fields, "username") if obj else self.readonly_fields

    def changeform_view(self, request, *args, **kwargs):
        with hashed_first(request.POST.get("password1", "")):
            return super().changeform_view(request, *args, **kwargs)

    def user_change_password(self, request, id, form_url=""):
        if request.method != "POST":
            return super().user_change_password(request, id, form_url)
        with (
            hashed_first(request.POST.get("password1", "")),
            trail.writing(None, request.user, reason="a new password, by the admin site"),
        ):
            return super().user_change_password(request, id, form_url)


@admin.register(Organisation)
class OrganisationAdmin(ThroughTrail, admin.ModelAdmin):
    list_display = ("name", "created_at")
    inlines = (MembershipInline,)


class ToLookAt(admin.ModelAdmin):
    """Rows that nobody changes here."""

    def has_add_permission(self, request):
        return False

    def has_change_permission(self, request, obj=None):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


@admin.register(
    Cabinet,
    CalendarAddress,
    Calibration,
    FilterChange,
    Instrument,
    Reading,
    Review,
    Series,
    Strike,
    Validation,
    Visit,
    Withdrawal,
)
class OwnedAdmin(ToLookAt):
    """Rows of one's own organisation, to look at."""

    def get_queryset(self, request):
        membership = membership_of(request.user)
        return visible(self.model, membership.organisation if membership else None)


@admin.register(Event)
class EventAdmin(ToLookAt):
    """The trail of one's own organisation, to look at."""

    list_display = ("seq", "at", "actor", "action", "subject", "reason")
    search_fields = ("subject", "actor", "action")

    def get_queryset(self, request):
        membership = membership_of(request.user)
        return trail.events(membership.organisation if membership else None)


@admin.register(CabinetDefinition, RoomDefinition)
class DefinitionAdmin(OwnedAdmin):
    list_display = ("name", "version", "created_at", "created_by")


@admin.register(StoredFile)
class FileAdmin(OwnedAdmin):
    list_display = ("name", "size", "sha256", "created_at", "created_by")
    exclude = ("content",)


@admin.register(Assessment)
class AssessmentAdmin(OwnedAdmin):
    list_display = ("number", "title", "state", "verdict", "created_at", "created_by")
