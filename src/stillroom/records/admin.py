"""The admin site: people and organisations. What is stored of a case can be seen there and not changed."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.utils.translation import gettext_lazy as _

from stillroom.records.models import (
    Assessment,
    CabinetDefinition,
    Membership,
    Organisation,
    RoomDefinition,
    StoredFile,
    User,
)
from stillroom.records.tenancy import membership_of, visible


class MembershipInline(admin.TabularInline):
    model = Membership
    extra = 0


@admin.register(User)
class PersonAdmin(UserAdmin):
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

    def has_delete_permission(self, request, obj=None):
        return False


@admin.register(Organisation)
class OrganisationAdmin(admin.ModelAdmin):
    list_display = ("name", "created_at")
    inlines = (MembershipInline,)

    def has_delete_permission(self, request, obj=None):
        return False


class OwnedAdmin(admin.ModelAdmin):
    """Rows of one's own organisation, to look at."""

    def get_queryset(self, request):
        membership = membership_of(request.user)
        return visible(self.model, membership.organisation if membership else None)

    def has_add_permission(self, request):
        return False

    def has_change_permission(self, request, obj=None):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


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
