"""From an `Assessment` to the `Record` that papers, pages and archives read."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date as Date
from datetime import timedelta
from functools import cache

import numpy as np
from numpy.typing import NDArray

import stillroom
from stillroom import media, monitoring
from stillroom.assessment.case import Case, Subject
from stillroom.assessment.numbers import CAUTIOUS, cautious_days, five_percent, quantile
from stillroom.assessment.record import (
    CautiousRecord,
    ClockRecord,
    ConflictRecord,
    ContainerRecord,
    CurveRecord,
    IntervalRecord,
    LimitRecord,
    PlacementRecord,
    Record,
    ShelfRecord,
    SpillRecord,
    SubstanceRecord,
    VisibilityRecord,
)
from stillroom.assessment.result import Assessment, Clock, RoomLoad, SpillResult, SubjectResult
from stillroom.assessment.words import CAUTIONS, served_words
from stillroom.cabinet.design import Cabinet
from stillroom.inventory.model import Container
from stillroom.media.order_statistics import CONFIDENCE, upper_bound
from stillroom.room.model import SiteRules
from stillroom.segregation import Plan
from stillroom.segregation.model import SEVERITIES, Conflict
from stillroom.services.details import cabinet_details, room_details
from stillroom.sources import Sourced, bibliography, cite
from stillroom.substances import limits
from stillroom.substances.model import Limit
from stillroom.units import mg_m3_to_ppm, show

__all__ = ["MODEL_VERSION", "as_record", "input_hash", "shelf_records"]

Array = NDArray[np.float64]

MODEL_VERSION = "4"
"""Raised whenever the same input would give another answer."""
_LAMPS = (10.0, 10.6, 11.7)
_DAY = 86400.0
_CURVES = 4


def as_record(result: Assessment, *, date: Date, title: str, invented: bool) -> Record:
    """The record of an assessment made on `date`."""
    case = result.case
    life = _interval(result.life)
    cautious = cautious_days(result.life)
    days = float(int(cautious)) if np.isfinite(cautious) else None
    label_days = days if result.staying.containers and days is not None else None
    ends = date + timedelta(days=label_days or 0.0)
    rules = case.room.rules
    visit = monitoring.next_visit(
        date=date,
        cautious_life_days=label_days,
        fraction=rules.visit_fraction_of_life,
        longest_days=rules.visit_longest_days,
    )
    digest = input_hash(case)
    at_end = int(np.searchsorted(result.normal.days, min(label_days or 0.0, result.normal.days[-1])))
    return Record(
        schema="stillroom-record/1",
        number=f"{date:%y%m%d}-{digest[:8].upper()}",
        title=title or case.inventory.file,
        invented=invented,
        date=date.isoformat(),
        valid_until=ends.isoformat(),
        seed=case.seed,
        draws=case.draws,
        verdict=result.verdict,
        verdict_words=list(result.words),
        substances=[_substance(item, result, at_end) for item in result.subjects],
        mixture_index=_interval(result.normal.index[at_end]),
        room_mixture_index=_interval(result.normal.room_fraction.sum(axis=0)),
        service_life_days=life,
        cautious_life=_cautious(result.life),
        label_life_days=label_days,
        life_ends=ends.isoformat(),
        governing=result.governing,
        governing_words=_governing(result),
        clocks=[_clock(clock, result) for clock in result.clocks],
        conflicts=_conflicts(result),
        containers=[_container(item, result) for item in case.containers],
        placement=_placement(result),
        conditions=list(result.conditions),
        cautions=list(CAUTIONS),
        assumptions=list(dict.fromkeys((*result.assumptions, *_spill_notes(result)))),
        curves=_curves(result),
        room=_room(case, result.room_load),
        cabinet=_cabinet(case),
        rules=_rules(rules),
        limit_lists=[
            {"key": entry.key, "title": entry.title, "edition": entry.edition}
            for key in case.list_keys
            for entry in limits.lists()
            if entry.key == key
        ],
        limit_ordering=case.ordering.value,
        visit={
            "next_visit": visit.next_visit.isoformat(),
            "interval_days": float(visit.interval_days),
            "rule": visit.rule,
        },
        reading=dict(case.inventory.reading),
        warnings=list(result.warnings),
        sources=_sources(result),
        versions=_versions(case),
        input_sha256=digest,
        signature=None,
    )


def input_hash(case: Case) -> str:
    """SHA-256 over everything that made the answer: inventory, cabinet, room, rules, lists, seed, draws, versions."""
    whole = {
        "inventory": case.inventory.sha256,
        "containers": [asdict(item) for item in case.containers],
        "cabinet": asdict(case.cabinet),
        "room": asdict(case.room),
        "hand_limits": [asdict(limit) for subject in case.subjects for limit in subject.limits.all],
        "lists": case.list_keys,
        "ordering": case.ordering.value,
        "seed": case.seed,
        "draws": case.draws,
        "versions": _versions(case),
    }
    text = json.dumps(whole, sort_keys=True, ensure_ascii=False, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def _interval(values: Array) -> IntervalRecord:
    """5, 50 and 95 % of draws; infinity becomes None, with words beside it wherever that can be."""
    low, middle, high = (quantile(values, share) for share in (0.05, 0.5, 0.95))
    return IntervalRecord(p05=_finite(low), p50=_finite(middle), p95=_finite(high))


def _cautious(life: Array) -> CautiousRecord:
    return CautiousRecord(
        days=_finite(cautious_days(life)),
        point_days=_finite(five_percent(life)),
        upper_days=_finite(upper_bound(life, CAUTIOUS)),
        confidence=CONFIDENCE,
        draws=life.size,
    )


def _finite(value: float) -> float | None:
    return float(f"{value:.6g}") if np.isfinite(value) else None


def _nothing() -> IntervalRecord:
    return IntervalRecord(p05=None, p50=None, p95=None)


def _limit(limit: Limit) -> LimitRecord:
    titles = {entry.key: entry.title for entry in limits.lists()}
    return LimitRecord(
        value=limit.value,
        unit=limit.unit,
        list=limit.list,
        list_title=titles.get(limit.list, limit.list),
        edition=limit.edition,
        basis=limit.basis,
        measured_as=limit.measured_as,
        fraction=limit.fraction,
        notations=list(limit.notations),
        locator=limit.locator,
        note=limit.note,
    )


def _substance(item: SubjectResult, result: Assessment, at_end: int) -> SubstanceRecord:
    subject, normal = item.subject, result.normal
    emission = exhaust = unfiltered = room = _nothing()
    mass = subject.properties.molar_mass
    if not _allowed(item):
        pass  # it is not among what the numbers describe
    elif subject.cas in normal.cas:
        place = normal.cas.index(subject.cas)
        if isinstance(mass, Sourced):
            emission = _interval(normal.emission[place] * mass.value * _DAY)
        if subject.criterion is not None:
            exhaust = _interval(normal.fraction[at_end, place])
            unfiltered = _interval(normal.unfiltered[place])
            room = _interval(normal.room_fraction[place])
    elif subject.cas in normal.dust_cas:
        exhaust = _interval(normal.dust_fraction[normal.dust_cas.index(subject.cas)])
        emission = IntervalRecord(p05=0.0, p50=0.0, p95=0.0)
    else:
        emission = exhaust = unfiltered = room = IntervalRecord(p05=0.0, p50=0.0, p95=0.0)
    value, unit = _amount(item)
    lamps = _visibility(subject, result)
    return SubstanceRecord(
        cas=subject.cas,
        name=subject.substance.name,
        containers="; ".join(_size(container) for container in subject.containers),
        limit=_limit(subject.criterion) if subject.criterion else None,
        limits_all=[_limit(limit) for limit in subject.limits.all],
        verdict=item.verdict,
        reasons=_reasons(item),
        emission_g_per_day=emission,
        exhaust_fraction_of_limit=exhaust,
        exhaust_fraction_unfiltered=unfiltered,
        room_fraction_of_limit=room,
        service_life_days=_interval(item.days) if _allowed(item) else _nothing(),
        largest_amount=value,
        largest_amount_unit=unit,
        largest_amount_words=item.largest_words,
        spill=_spill(item.spill, result.case),
        visibility=lamps,
        check_point=monitoring.check_point(
            subject.cas, family=subject.hazards.medium_family, phase=subject.properties.phase
        ),
    )


def _reasons(item: SubjectResult) -> list[str]:
    """What refuses stands first; that it stands apart from neighbours is said once, under conflicts."""
    refusing = [finding.reason for finding in item.findings if not _fine(finding.verdict)]
    others = [
        finding.reason
        for finding in item.findings
        if _fine(finding.verdict) and not finding.reason.startswith("Apart from")
    ]
    return list(dict.fromkeys((*refusing, *others)))


def _fine(verdict: str) -> bool:
    return verdict in ("approved", "approved with conditions")


def _allowed(item: SubjectResult) -> bool:
    return _fine(item.verdict)


def _amount(item: SubjectResult) -> tuple[float | None, str]:
    kinds = {container.amount.kind for container in item.subject.containers}
    unit = "L" if kinds == {"volume"} else "kg"
    if item.largest is None:
        return None, unit
    value = item.largest * 1000.0 if unit == "L" else item.largest
    return _rounded_down(value), unit


def _rounded_down(value: float) -> float:
    """Two significant digits, never up."""
    if value <= 0:
        return 0.0
    step = 10.0 ** (np.floor(np.log10(value)) - 1)
    return float(f"{np.floor(value / step + 1e-9) * step:.6g}")


def _size(container: Container) -> str:
    value = container.amount.value
    if container.amount.kind == "volume":
        size = f"{show(value * 1e3, 3)} L" if value >= 1e-3 else f"{show(value * 1e6, 3)} mL"
    else:
        size = f"{show(value, 3)} kg" if value >= 1 else f"{show(value * 1e3, 3)} g"
    words = f"{container.count} × {size}" if container.count > 1 else size
    return f"{words} ({container.concentration})" if container.concentration else words


def _spill_notes(result: Assessment) -> list[str]:
    """What was assumed of every spill, once."""
    return [note for item in result.subjects if item.spill for note in item.spill.notes]


def _spill(spill: SpillResult | None, case: Case) -> SpillRecord | None:
    if spill is None:
        return None
    container = next(item for item in case.containers if item.key == spill.container)
    return SpillRecord(
        container=_size(container).split(" × ")[-1],
        evaporation_g_per_min=_interval(spill.evaporation * 6e4),
        cabinet_fraction_of_lfl=_nothing() if spill.flammable is None else _interval(spill.flammable),
        cabinet_fraction_of_lfl_fan_stopped=_nothing()
        if spill.flammable_stopped is None
        else _interval(spill.flammable_stopped),
        room_fraction_of_short_limit=_interval(spill.short[-1]),
        room_fraction_of_twa=_interval(spill.twa[-1]),
        notes=[f"taken up within {spill.minutes:g} min"],
    )


def _visibility(subject: Subject, result: Assessment) -> list[VisibilityRecord]:
    limit = subject.criterion
    mass = subject.properties.molar_mass
    ppm = None
    if limit is not None and limit.unit == "ppm":
        ppm = limit.value
    elif limit is not None and isinstance(mass, Sourced) and not subject.involatile:
        ppm = mg_m3_to_ppm(limit.value, molar_mass_g_mol=mass.value)
    seen = []
    for lamp in _LAMPS:
        answer = monitoring.visibility(
            subject.cas,
            limit_ppm=ppm,
            criterion_fraction=result.case.room.rules.criterion_fraction,
            lamp_eV=lamp,
        )
        seen.append(
            VisibilityRecord(
                lamp_eV=lamp, sees=answer.sees, sees_criterion=answer.sees_criterion, words=answer.words
            )
        )
    return seen


def _name(cas: str, result: Assessment) -> str:
    for subject in result.case.subjects:
        if subject.cas == cas:
            return subject.substance.name
    return _background_name(cas) if cas else ""


@cache
def _background_name(cas: str) -> str:
    from stillroom.substances.identity import resolve

    found = resolve(cas=cas)
    return found.substance.name if found.substance else cas


def _clock(clock: Clock, result: Assessment) -> ClockRecord:
    return ClockRecord(
        name=clock.name,
        days=_interval(clock.days),
        governing=clock.governing,
        governing_name=_name(clock.governing, result),
        words=clock.words,
    )


def _governing(result: Assessment) -> str:
    first = min(result.clocks, key=lambda clock: (cautious_days(clock.days), clock.name != "age"))
    name = _name(first.governing, result)
    of = f" ({name})" if name else ""
    return f"The {first.name} clock ends first{of}. {first.words}"


def _conflicts(result: Assessment) -> list[ConflictRecord]:
    """One entry a pair of substances, the gravest, with every container concerned."""
    pairs: dict[tuple[str, ...], list[Conflict]] = {}
    for conflict in result.conflicts:
        pairs.setdefault(tuple(sorted(conflict.cas)), []).append(conflict)
    placed = {item.container for item in result.plan.placed}
    unsolved = set(result.plan.unsolved)
    records = []
    for group in pairs.values():
        gravest = max(group, key=lambda item: SEVERITIES.index(item.severity))
        staying = [item for item in group if {item.first, item.second} <= placed]
        solved = not any(item in unsolved for item in group)
        mend = gravest.mend
        if not staying:
            mend = f"{mend} At least one of the two is not approved for this cabinet here."
        source = cite(gravest.source)
        records.append(
            ConflictRecord(
                cas=list(gravest.cas),
                names=list(gravest.names),
                containers=list(dict.fromkeys(key for item in group for key in (item.first, item.second))),
                hazard=gravest.hazard,
                consequence=gravest.consequence,
                source=f"{source}, {gravest.locator}" if gravest.locator else str(source),
                severity=gravest.severity,
                solved=bool(solved and staying),
                mend=mend,
            )
        )
    records.sort(key=lambda item: (-SEVERITIES.index(item["severity"]), item["names"]))
    return records


def _container(container: Container, result: Assessment) -> ContainerRecord:
    places = [
        f"compartment {item.compartment}, shelf {item.shelf}" + (f", tray {item.tray}" if item.tray else "")
        for item in result.plan.placed
        if item.container == container.key
    ]
    return ContainerRecord(
        key=container.key,
        row=container.row,
        name=container.name,
        cas=container.components[0].substance.cas if container.components else container.cas_written,
        amount=_size(container).split(" × ")[-1].split(" (")[0],
        count=container.count,
        concentration=container.concentration,
        state=container.state,
        closure=container.closure,
        material=container.material,
        opened_per_week=container.opened_per_week,
        note="; ".join(
            part
            for part in (container.note, container.unknown_reason, *result.container_reasons[container.key])
            if part
        ),
        known=container.known,
        verdict=result.container_verdicts[container.key],
        place="; ".join(dict.fromkeys(places)),
    )


def shelf_records(cabinet: Cabinet, plan: Plan, *, number: int = 0) -> list[ShelfRecord]:
    """The shelves of one of the plan's cabinets, as the drawings want them.

    Parameters
    ----------
    cabinet : Cabinet
    plan : Plan
    number : int
        Which of the plan's cabinets this is, from 0 [-].
    """
    shelves = []
    for compartment in cabinet.compartments:
        for shelf in compartment.shelves:
            where = (number, compartment.key, shelf.key)
            here = [item for item in plan.placed if (item.cabinet, item.compartment, item.shelf) == where]
            shelves.append(
                ShelfRecord(
                    compartment=compartment.key,
                    shelf=shelf.key,
                    height_m=shelf.height,
                    width_m=shelf.width,
                    depth_m=shelf.depth,
                    clear_height_m=shelf.clear_height,
                    trays=shelf.trays,
                    tray_litres=None if shelf.tray_volume is None else shelf.tray_volume * 1e3,
                    load_kg=round(sum(item.mass for item in here), 1),
                    placed=[
                        {
                            "container": item.container,
                            "copy": item.copy,
                            "label": item.label,
                            "x_m": round(item.x, 3),
                            "y_m": round(item.y, 3),
                            "diameter_m": round(item.diameter, 3),
                            "height_m": round(item.height, 3),
                            "kind": item.kind,
                        }
                        for item in here
                    ],
                )
            )
    return shelves


def _placement(result: Assessment) -> PlacementRecord:
    placed = {item.container for item in result.plan.placed}
    staying = [item.key for item in result.staying.containers]
    words = list(result.plan.words)
    words.extend(f"{key}: {reason}" for key, reason in result.plan.not_placed)
    return PlacementRecord(
        shelves=shelf_records(result.case.cabinet, result.plan),
        not_placed=[key for key in staying if key not in placed],
        words=words,
    )


def _curves(result: Assessment) -> list[CurveRecord]:
    """The mixture index and its largest contributors, to the end of the age clock."""
    normal = result.normal
    keep = normal.days <= result.case.cabinet.max_age_days * 1.0001
    days = [float(f"{day:.5g}") for day in normal.days[keep]]
    curves = [_curve("index", "mixture index", days, normal.index[keep])]
    share = np.median(normal.fraction[keep], axis=2).max(axis=0) if normal.cas else np.zeros(0)
    for place in np.argsort(share)[::-1][:_CURVES]:
        if share[place] > 0:
            cas = normal.cas[int(place)]
            curves.append(_curve(cas, _name(cas, result), days, normal.fraction[keep, place]))
    return curves


def _curve(cas: str, name: str, days: list[float], values: Array) -> CurveRecord:
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95], axis=1)
    return CurveRecord(
        cas=cas,
        name=name,
        days=days,
        p05=[float(f"{value:.5g}") for value in low],
        p50=[float(f"{value:.5g}") for value in middle],
        p95=[float(f"{value:.5g}") for value in high],
    )


def _room(case: Case, loads: Sequence[RoomLoad]) -> dict[str, object]:
    room = case.room
    return {
        "name": room.name,
        "volume_m3": room.volume,
        "air_changes_per_h": room.air_changes_per_h,
        "temperature_C": round(room.temperature - 273.15, 2),
        "relative_humidity": list(room.humidity_course) or room.relative_humidity,
        "pressure_Pa": room.pressure,
        "backgrounds": [
            {"cas": item.cas, "name": _background_name(item.cas), "mg_m3": item.mg_m3, "source": item.source}
            for item in room.backgrounds
        ],
        "filter_load": [
            {
                "cas": load.cas,
                "name": load.name,
                "grams_a_year": _interval(load.grams_a_year),
                "held_g": _interval(load.held),
                "share_of_held": _interval(load.share),
                "through_days": _interval(load.through),
            }
            for load in loads
        ],
        "words": f"{room.volume:g} m³, {room.air_changes_per_h:g} air changes an hour, "
        f"{room.temperature - 273.15:.0f} °C, {room.humidity_words}",
        "note": room.note,
        "details": room_details(room),
    }


def _cabinet(case: Case) -> dict[str, object]:
    cabinet = case.cabinet
    stack = cabinet.filters
    words = (
        [f"particulate filter {stack.particulate.filter_class}"]
        if stack.particulate
        else ["no particulate filter"]
    )
    words.extend(f"{bed.mass:g} kg {bed.medium.title}" for bed in stack.beds)
    if not stack.beds:
        words.append("no bed of carbon")
    words.extend(served_words(period) for period in stack.served)
    bypass = stack.seal_bypass
    return {
        "name": cabinet.name,
        "flow_m3_h": round(cabinet.flow * 3600.0, 1),
        "filters": words,
        "seal_bypass": {"p05": bypass.p05, "p50": bypass.p50, "p95": bypass.p95},
        "detector": cabinet.detector,
        "installed": stack.installed,
        "words": f"{cabinet.name}: {cabinet.flow * 3600:.0f} m³/h through {'; '.join(words)}",
        "note": cabinet.note,
        "details": cabinet_details(cabinet),
    }


def _rules(rules: SiteRules) -> dict[str, object]:
    """The site's rules in words."""
    us_rule = "29 CFR 1910.106(d)(3)"
    category_1, total = rules.flammables_litre_category_1, rules.flammables_litre_total
    return {
        "criterion at the exhaust": f"{100 * rules.criterion_fraction:g} % of each limit and of the mixture index",
        "clean-up of a spill": f"{rules.cleanup_minutes:g} min",
        "from a break until somebody acts": f"{show(rules.acts_after_minutes)} min",
        "longest stop of the fan": f"{rules.fan_stop_hours:g} h",
        "planned filter interval": f"{rules.required_interval_days:g} days",
        "15-minute value where none is published": f"{rules.excursion_factor:g} × the 8-hour limit",
        "1 % criterion in a spill too": "yes" if rules.spill_criterion_too else "no",
        "flammable limit": f"{100 * rules.lfl_fraction:g} % of the lower limit",
        "flammables, category 1": us_rule if category_1 is None else f"{category_1:g} L",
        "flammables, all": us_rule if total is None else f"{total:g} L",
        "visits": f"{100 * rules.visit_fraction_of_life:g} % of the cautious life, {rules.visit_longest_days:g} days at most",
        "saturation": f"outlet at {100 * rules.saturation_fraction:g} % of the inlet",
        "marker vapour": rules.marker_cas or "chosen by the rule",
    }


def _versions(case: Case) -> dict[str, str]:
    versions = {"stillroom": stillroom.__version__, "model": MODEL_VERSION}
    known = limits.versions()
    versions.update({f"limits {key}": known.get(key, "by hand") for key in case.list_keys})
    versions["limits groups"] = known["groups"]
    of_media = media.versions()
    for bed in case.cabinet.filters.beds:
        versions[f"medium {bed.medium.name}"] = of_media.get(bed.medium.name, bed.medium.version)
    return versions


def _sources(result: Assessment) -> list[str]:
    case = result.case
    keys = [*result.sources, *(conflict.source for conflict in result.conflicts)]
    keys.extend(limit.source for subject in case.subjects for limit in subject.limits.all)
    for bed in case.cabinet.filters.beds:
        keys.append(bed.medium.source)
    keys.append(case.cabinet.filters.seal_bypass.source)
    for subject in case.subjects:
        for name in (
            "saturation_pressure",
            "liquid_density",
            "molar_polarisability",
            "lower_flammable_limit",
        ):
            value = getattr(subject.properties, name)
            if isinstance(value, Sourced):
                keys.append(value.source)
    known = bibliography()
    own = [f"{entry.title}, {entry.edition}: {entry.source}" for entry in limits.lists()
           if entry.own and entry.key in case.list_keys]  # fmt: skip
    return [*dict.fromkeys(str(cite(key)) for key in keys if key and key in known), *own]
