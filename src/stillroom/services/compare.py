"""Compare two records: what was asked differently, and what came out differently, as one JSON-able answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

__all__ = ["SCHEMA", "compare", "lines"]

SCHEMA = "stillroom-difference/1"
_ORDER = ("approved", "approved with conditions", "cannot tell", "not approved")
_ROOM = {
    "name": "", "volume_m3": "m³", "air_changes_per_h": "1/h", "temperature_C": "°C", "relative_humidity": "-",
    "pressure_Pa": "Pa", "note": "",
}  # fmt: skip
_CABINET = {"name": "", "flow_m3_h": "m³/h", "detector": "", "installed": "", "note": ""}

_LOADS, _LOADS_MORE = 0.01, 1.25
"""From which concentration on a vapour loads a filter [mg/m³], and how many times less counts as less [-] (own choices)."""

Record = Mapping[str, Any]


def compare(before: Record, after: Record) -> dict[str, Any]:
    """What changed from one record to another.

    Parameters
    ----------
    before, after : Record
        As `services.assess` gives them or as they were stored.

    Returns
    -------
    dict
        ``before``, ``after`` (number, title, date, verdict); what was asked: ``inputs`` (part, what, unit, before,
        after), ``containers`` (name, change: "added", "removed" or "changed", before, after), ``versions`` (what made the
        answer), ``other_inputs`` (true where something else was asked differently that a record does not spell out);
        what came out: ``verdict`` (before, after, worse), ``life`` (days, ends and what governs), ``clocks``, ``indices``,
        ``substances`` (both sides whole, ``changed`` names what differs), ``container_verdicts``, ``conflicts`` (appeared,
        gone, changed), ``conditions`` (added, removed); ``left_on_the_filter`` (name, cas, mg_m3): what loaded the filter more than it
        does now, where the filter stays and the new answer does not count it; and ``differs``: whether a verdict, the label's life, a
        condition or a conflict moved.

    Notes
    -----
    A record that lacks a part (made by an older program) compares as one that says nothing of it.
    """
    inputs = [*_inputs(before, after), *_hand_limits(before, after)]
    containers = _containers(before, after)
    versions = _pairs(before.get("versions", {}), after.get("versions", {}))
    versions += _pairs(before, after, {"draws": "-"})  # as many as the answer needed
    same_words = not inputs and not containers and not versions
    answer: dict[str, Any] = {
        "schema": SCHEMA,
        "before": _head(before),
        "after": _head(after),
        "inputs": inputs,
        "containers": containers,
        "versions": versions,
        "other_inputs": same_words and before["input_sha256"] != after["input_sha256"],
        "verdict": _both(before, after, "verdict") | {"worse": _worse(before["verdict"], after["verdict"])},
        "life": {"before": _life(before), "after": _life(after)},
        "clocks": _clocks(before, after),
        "indices": [{"name": name} | _both(before, after, name) for name in ("mixture_index", "room_mixture_index")],
        "substances": _substances(before, after),
        "container_verdicts": _container_verdicts(before, after),
        "conflicts": _conflicts(before, after),
        "conditions": {
            "added": _without(after["conditions"], before["conditions"]),
            "removed": _without(before["conditions"], after["conditions"]),
        },
        "left_on_the_filter": _left_on_the_filter(before, after),
    }  # fmt: skip
    return answer | {"differs": _differs(answer)}


def _left_on_the_filter(before: Record, after: Record) -> list[dict[str, Any]]:
    """What came to the filter before and comes no more, or less, where the filter is the same and its past is not told."""
    stays = before["cabinet"].get("installed") == after["cabinet"].get("installed") and _filters(
        before
    ) == _filters(after)
    if not stays or not str(before["verdict"]).startswith("approved"):
        return []
    was, now = _inlets(before), _inlets(after)
    return [
        {"cas": cas, "name": name, "mg_m3": level}
        for cas, (name, level) in was.items()
        if level > max(_LOADS_MORE * now.get(cas, ("", 0.0))[1], _LOADS)
    ]


def _inlets(record: Record) -> dict[str, tuple[str, float]]:
    """CAS number -> name, and the middle of what comes to the filter [mg/m³]."""
    air = float(record["cabinet"].get("flow_m3_h") or 0.0) * 24.0
    found = {
        row["cas"]: (row.get("name") or row["cas"], float(row["mg_m3"]))
        for row in record["room"].get("backgrounds", [])
    }
    for row in record["substances"]:
        given = (row.get("emission_g_per_day") or {}).get("p50")
        if given and air:
            found[row["cas"]] = row["name"], found.get(row["cas"], ("", 0.0))[1] + 1e3 * float(given) / air
    return found


def _differs(answer: Mapping[str, Any]) -> bool:
    life = answer["life"]
    return bool(
        answer["verdict"]["before"] != answer["verdict"]["after"]
        or life["before"]["days"] != life["after"]["days"]
        or any("verdict" in row["changed"] for row in answer["substances"])
        or answer["container_verdicts"]
        or any(answer["conflicts"].values())
        or any(answer["conditions"].values())
    )


def _head(record: Record) -> dict[str, Any]:
    return {name: record[name] for name in ("number", "title", "date", "verdict")}


def _both(before: Record, after: Record, name: str) -> dict[str, Any]:
    return {"before": before.get(name), "after": after.get(name)}


def _worse(before: str, after: str) -> bool:
    return _ORDER.index(after) > _ORDER.index(before)


def _without(these: Sequence[str], those: Sequence[str]) -> list[str]:
    return [item for item in these if item not in those]


def _pairs(before: Mapping[str, Any], after: Mapping[str, Any], units: Mapping[str, str] | None = None) -> list[dict[str, Any]]:  # fmt: skip
    """Names whose values differ; of `units` only the names there."""
    names = list(units) if units is not None else list({**before, **after})
    unit = units or {}
    return [
        {"what": name, "unit": unit.get(name, ""), "before": before.get(name), "after": after.get(name)}
        for name in names
        if before.get(name) != after.get(name)
    ]


def _inputs(before: Record, after: Record) -> list[dict[str, Any]]:
    """Room, cabinet, filters, lists of limits, rules, seed: what the records spell out."""
    parts: dict[str, list[dict[str, Any]]] = {
        "room": _pairs(before["room"], after["room"], _ROOM),
        "cabinet": _pairs(before["cabinet"], after["cabinet"], _CABINET),
        "filters": _pairs(_filters(before), _filters(after)),
        "limits": _pairs(_lists(before), _lists(after)),
        "rules": _pairs(before["rules"], after["rules"]),
        "draws": _pairs(before, after, {"seed": "-"}),
    }
    parts["room"] += _pairs(_backgrounds(before), _backgrounds(after))
    parts["cabinet"] += _pairs(_shelves(before), _shelves(after))
    for part in ("room", "cabinet"):
        then, now = before[part].get("details"), after[part].get("details")
        if then is not None and now is not None:
            parts[part] += _pairs(then, now)
    return [{"part": part} | pair for part, pairs in parts.items() for pair in pairs]


def _filters(record: Record) -> dict[str, Any]:
    words = {str(n): text for n, text in enumerate(record["cabinet"]["filters"], 1)}
    return words | {"seal_bypass": record["cabinet"].get("seal_bypass")}


def _lists(record: Record) -> dict[str, Any]:
    places = {
        str(n): f"{item['title']}, {item['edition']}" for n, item in enumerate(record["limit_lists"], 1)
    }
    return places | {"ordering": record["limit_ordering"]}


def _backgrounds(record: Record) -> dict[str, Any]:
    rows = [
        f"{row.get('name') or row['cas']} {row['mg_m3']:g} mg/m³" for row in record["room"]["backgrounds"]
    ]
    return {"backgrounds": "; ".join(rows)}


def _shelves(record: Record) -> dict[str, Any]:
    return {"shelves": len(record["placement"]["shelves"])}


def _hand_limits(before: Record, after: Record) -> list[dict[str, Any]]:
    """Limits that the user typed."""
    return [{"part": "limits by hand"} | pair for pair in _pairs(_typed(before), _typed(after))]


def _typed(record: Record) -> dict[str, str]:
    found: dict[str, str] = {}
    for row in record["substances"]:
        for limit in row["limits_all"]:
            if limit["list"] == "by-hand":
                found[f"{row['name']} {limit['basis']}"] = f"{limit['value']:g} {limit['unit']}"
    return found


def _by_name(record: Record) -> dict[tuple[str, str], list[Record]]:
    found: dict[tuple[str, str], list[Record]] = {}
    for row in record["containers"]:
        found.setdefault((row["name"], row["concentration"]), []).append(row)
    return found


def _containers(before: Record, after: Record) -> list[dict[str, Any]]:
    """Containers of one name and strength that differ, as multisets of what stands in a row."""
    then, now = _by_name(before), _by_name(after)
    whole = all("opened_per_week" in row for record in (before, after) for row in record["containers"])
    found = []
    for name in {**then, **now}:
        old, new = (_sizes(side.get(name, []), whole) for side in (then, now))
        if old != new:
            change = "added" if not old else "removed" if not new else "changed"
            found.append(
                {
                    "name": name[0],
                    "concentration": name[1],
                    "change": change,
                    "before": old,
                    "after": new,
                }
            )
    return found


def _sizes(rows: Sequence[Record], whole: bool) -> list[dict[str, Any]]:
    """Number, size, closure, state, material, openings; rows of the same kind are counted together.

    Material and openings only where both records tell them (`whole`).
    """
    names = ("amount", "closure", "state", *(("material", "opened_per_week") if whole else ()))
    found: dict[tuple[Any, ...], int] = {}
    for row in rows:
        kind = tuple(row[name] for name in names)
        found[kind] = found.get(kind, 0) + row["count"]
    return [{"count": found[kind], **dict(zip(names, kind, strict=True))} for kind in sorted(found)]


def _container_verdicts(before: Record, after: Record) -> list[dict[str, Any]]:
    """Containers that are there both times and are judged differently; of several of one name, the gravest."""
    then, now = _by_name(before), _by_name(after)
    found = []
    for name in then.keys() & now.keys():
        old, new = (_gravest([row["verdict"] for row in side[name]]) for side in (then, now))
        if old != new:
            found.append({"name": name[0], "concentration": name[1], "before": old, "after": new})
    return sorted(found, key=lambda row: (row["name"], row["concentration"]))


def _gravest(verdicts: Sequence[str]) -> str:
    return max(verdicts, key=_ORDER.index)


def _life(record: Record) -> dict[str, Any]:
    return {
        "days": record["label_life_days"],
        "interval_days": record["service_life_days"],
        "ends": record["life_ends"],
        "governing": record["governing"],
        "governing_words": record["governing_words"],
    }


def _clocks(before: Record, after: Record) -> list[dict[str, Any]]:
    then = {row["name"]: row for row in before["clocks"]}
    now = {row["name"]: row for row in after["clocks"]}
    return [
        {"name": name, "before": then.get(name), "after": now.get(name)}
        | {"changed": then.get(name) != now.get(name)}
        for name in {**then, **now}
    ]


_OF_A_SUBSTANCE: dict[str, Callable[[Record], Any]] = {
    "verdict": lambda row: row["verdict"],
    "limit": lambda row: row["limit"],
    "service_life_days": lambda row: row["service_life_days"],
    "exhaust_fraction_of_limit": lambda row: row["exhaust_fraction_of_limit"],
    "spill_fraction_of_short_limit": lambda row: (
        row["spill"] and row["spill"]["room_fraction_of_short_limit"]
    ),
    "largest_amount": lambda row: row["largest_amount"],
    "largest_amount_unit": lambda row: row["largest_amount_unit"],
    "largest_amount_words": lambda row: row["largest_amount_words"],
    "reasons": lambda row: row["reasons"],
}


def _substances(before: Record, after: Record) -> list[dict[str, Any]]:
    """Every substance of either record, in the order of the later; `changed` is empty where nothing differs."""
    then, now = ({row["cas"] or row["name"]: row for row in side["substances"]} for side in (before, after))
    found = []
    for key in {**now, **then}:
        old, new = (_substance(side.get(key)) for side in (then, now))
        if old is None or new is None:
            changed = ["verdict"]
        else:
            changed = [name for name in _OF_A_SUBSTANCE if old[name] != new[name]]
        row = now.get(key) or then[key]
        found.append(
            {"cas": row["cas"], "name": row["name"], "before": old, "after": new, "changed": changed}
        )
    return found


def _substance(row: Record | None) -> dict[str, Any] | None:
    return None if row is None else {name: of(row) for name, of in _OF_A_SUBSTANCE.items()}


def _conflicts(before: Record, after: Record) -> dict[str, list[dict[str, Any]]]:
    """Pairs of neighbours that came, went, or are judged otherwise."""
    then, now = ({tuple(sorted(row["names"])): row for row in side["conflicts"]} for side in (before, after))
    return {
        "appeared": [_conflict(now[key]) for key in now if key not in then],
        "gone": [_conflict(then[key]) for key in then if key not in now],
        "changed": [
            {"before": _conflict(then[key]), "after": _conflict(now[key])}
            for key in now
            if key in then and _conflict(then[key]) != _conflict(now[key])
        ],
    }


def _conflict(row: Record) -> dict[str, Any]:
    return {name: row[name] for name in ("names", "cas", "severity", "solved", "consequence", "mend")}


def lines(difference: Mapping[str, Any]) -> list[str]:
    """What came out differently, a line each, for a terminal or a paper."""
    verdict, life = difference["verdict"], difference["life"]
    found = []
    if verdict["before"] != verdict["after"]:
        found.append(f"verdict: {verdict['before']} → {verdict['after']}")
    if life["before"]["days"] != life["after"]["days"]:
        sides = (_stated(life[side]["days"], verdict[side]) for side in ("before", "after"))
        found.append(f"filter life: {' → '.join(sides)}")
    for row in difference["clocks"]:
        old, new = ((side or {}).get("days", {}).get("p05") for side in (row["before"], row["after"]))
        if _days(old) != _days(new):
            found.append(f"{row['name']} clock, cautious end: {_days(old)} → {_days(new)}")
    for row in difference["substances"]:
        found += _lines_of(row)
    for row in difference["container_verdicts"]:
        found.append(f"{row['name']} (container): {row['before']} → {row['after']}")
    conflicts = difference["conflicts"]
    found += [f"conflict appears: {' + '.join(row['names'])}" for row in conflicts["appeared"]]
    found += [f"conflict goes: {' + '.join(row['names'])}" for row in conflicts["gone"]]
    found += [
        f"conflict changes: {' + '.join(row['after']['names'])}: {row['before']['severity']} → {row['after']['severity']}"
        for row in conflicts["changed"]
        if row["before"]["severity"] != row["after"]["severity"]
    ]
    found += [
        f"not counted: what the filter in place has taken up of {row['name']}, about {row['mg_m3']:.2g} mg/m³ in its air until now"
        for row in difference.get("left_on_the_filter", [])
    ]
    found += [f"new condition: {words}" for words in difference["conditions"]["added"]]
    return [*found, *(f"no longer a condition: {words}" for words in difference["conditions"]["removed"])]


def _lines_of(row: Mapping[str, Any]) -> list[str]:
    old, new = row["before"], row["after"]
    if old is None or new is None:
        side, word = (new, "comes in") if old is None else (old, "goes out")
        return [f"{row['name']}: {word}, {side['verdict']}"]
    found = []
    if old["verdict"] != new["verdict"]:
        found.append(f"{row['name']}: {old['verdict']} → {new['verdict']}")
    was, now = _limit(old["limit"]), _limit(new["limit"])
    if was != now:
        found.append(f"{row['name']}, limit: {was} → {now}")
    if (old["largest_amount"], old["largest_amount_unit"]) != (
        new["largest_amount"],
        new["largest_amount_unit"],
    ):
        found.append(f"{row['name']}, largest container: {_amount(old)} → {_amount(new)}")
    return found


def _stated(days: float | None, verdict: str) -> str:
    """The label's life; beside a refusal it is that of what may stay."""
    words = "none stated" if days is None else _days(days)
    return (
        words if days is None or verdict.startswith("approved") else f"{words} once what cannot stay is out"
    )


def _days(value: float | None) -> str:
    return "no end computed" if value is None else f"{int(value)} days"


def _limit(limit: Mapping[str, Any] | None) -> str:
    return (
        "none" if limit is None else f"{limit['value']:g} {limit['unit']} {limit['basis']} ({limit['list']})"
    )


def _amount(row: Mapping[str, Any]) -> str:
    if row["largest_amount"] is None:
        return "not known"
    return f"{row['largest_amount']:g} {row['largest_amount_unit']}"
