"""Every address. tests/web/test_matrix.py says who may use which; a new one without a row there fails."""

from django.contrib import admin
from django.urls import path
from django.views.generic import RedirectView

from stillroom.web.account.view import account
from stillroom.web.assessments.view import assessments
from stillroom.web.by_hand.view import by_hand
from stillroom.web.cabinet.view import cabinet
from stillroom.web.cabinets.view import cabinets
from stillroom.web.calibration.view import calibration
from stillroom.web.check.view import check
from stillroom.web.difference.view import difference
from stillroom.web.door.view import door
from stillroom.web.due.view import due_address, due_feed, due_file, due_page
from stillroom.web.filter_change.view import filter_change
from stillroom.web.filters.view import filters
from stillroom.web.first.view import first
from stillroom.web.instrument.view import instrument, instrument_new
from stillroom.web.instruments.view import instruments
from stillroom.web.inventory.view import inventory
from stillroom.web.kept.view import cabinet_new, kept
from stillroom.web.label.view import label
from stillroom.web.limits.view import limits
from stillroom.web.login.view import sign_in, sign_out
from stillroom.web.new.view import new
from stillroom.web.papers.view import paper
from stillroom.web.reading.view import reading
from stillroom.web.recheck.view import recheck
from stillroom.web.result.view import change, recompute, result
from stillroom.web.review.view import review_page
from stillroom.web.room.view import room
from stillroom.web.rules.view import rules
from stillroom.web.savings.view import savings
from stillroom.web.sensor.view import sensor
from stillroom.web.sensor_answer.view import sensor_answer
from stillroom.web.sign.view import sign_page
from stillroom.web.spent.view import spent
from stillroom.web.strike.view import strike_page
from stillroom.web.substances.view import substances
from stillroom.web.table.view import table
from stillroom.web.trail.view import trail_page
from stillroom.web.validation.view import signed_paper, validation
from stillroom.web.visit.view import visit
from stillroom.web.visit_answer.view import visit_answer
from stillroom.web.withdraw.view import withdraw_page

handler400 = "stillroom.web.shared.errors.bad_request"
handler403 = "stillroom.web.shared.errors.forbidden"
handler404 = "stillroom.web.shared.errors.missing"
handler500 = "stillroom.web.shared.errors.server_fault"

CASE = "assessments/<slug:key>/"
urlpatterns = [
    path("", RedirectView.as_view(pattern_name="assessments"), name="start"),
    path("first/", first, name="first"),
    path("login/", sign_in, name="login"),
    path("logout/", sign_out, name="logout"),
    path("account/", account, name="account"),
    path("substances/", substances, name="substances"),
    path("assessments/", assessments, name="assessments"),
    path("assessments/new/", new, name="new"),
    path(CASE, result, name="result"),
    path(CASE + "inventory/", inventory, name="inventory"),
    path(CASE + "table/", table, name="table"),
    path(CASE + "reading/", reading, name="reading"),
    path(CASE + "cabinet/", cabinet, name="cabinet"),
    path(CASE + "filters/", filters, name="filters"),
    path(CASE + "room/", room, name="room"),
    path(CASE + "limits/", limits, name="limits"),
    path(CASE + "by-hand/", by_hand, name="by-hand"),
    path(CASE + "rules/", rules, name="rules"),
    path(CASE + "check/", check, name="check"),
    path(CASE + "change/", change, name="change"),
    path(CASE + "recompute/", recompute, name="recompute"),
    path(CASE + "difference/", difference, name="difference"),
    path(CASE + "papers/<str:name>", paper, name="paper"),
    path(CASE + "sign/", sign_page, name="sign"),
    path("validations/<slug:key>/", validation, name="validation"),
    path("validations/<slug:key>/review/", review_page, name="review"),
    path("validations/<slug:key>/withdraw/", withdraw_page, name="withdraw"),
    path("validations/<slug:key>/papers/<str:name>", signed_paper, name="signed-paper"),
    path("v/<str:token>/", label, name="label"),
    path("trail/", trail_page, name="trail"),
    path("cabinets/", cabinets, name="cabinets"),
    path("cabinets/new/", cabinet_new, name="cabinet-new"),
    path("cabinets/<slug:key>/", kept, name="kept"),
    path("cabinets/<slug:key>/visit/", visit, name="visit"),
    path("cabinets/<slug:key>/sensor/", sensor, name="sensor"),
    path("cabinets/<slug:key>/filter/", filter_change, name="filter-change"),
    path("recheck/", recheck, name="recheck"),
    path("due/", due_page, name="due"),
    path("due/due.<str:kind>", due_file, name="due-file"),
    path("due/address/", due_address, name="due-address"),
    path("due/<str:token>.ics", due_feed, name="due-feed"),
    path("savings/", savings, name="savings"),
    path("visits/<slug:key>/", visit_answer, name="visit-answer"),
    path("visits/<slug:key>/strike/<int:place>/", strike_page, name="strike"),
    path("series/<int:number>/", sensor_answer, name="sensor-answer"),
    path("filter-changes/<slug:key>/spent.pdf", spent, name="spent"),
    path("instruments/", instruments, name="instruments"),
    path("instruments/new/", instrument_new, name="instrument-new"),
    path("instruments/<slug:key>/", instrument, name="instrument"),
    path("instruments/<slug:key>/calibration/", calibration, name="calibration"),
    path("L/<str:number>", door, name="door"),
    path("admin/", admin.site.urls),
]
