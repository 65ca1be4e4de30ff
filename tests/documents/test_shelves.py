"""The shelf plan, read back by PDFium."""

from __future__ import annotations

import copy
import re

from documents.reading import pages, runs, text
from documents.sample_record import refused_record, sample_record, signed_record, unsure_record
from stillroom.assessment.record import Record
from stillroom.documents import shelves_pdf


def test_every_shelf_and_container_is_listed() -> None:
    written = text(shelves_pdf(sample_record()))
    for part in (
        "Compartment A, shelf 1 board 10 cm above the floor · 1 tray, 11 L · load 16.4 kg",
        "Compartment A, shelf 2", "Compartment B, shelf 1", "1, 2 Toluene, reagent, 2 × 2.5 L flammable",
        "3–5 Acetone, 3 × 2.5 L flammable", "16 Lead chromate, 100 g toxic", "front (door side)", "10 cm", "tray 3",
    ):  # fmt: skip
        assert part in written, part


def test_what_is_not_solved_and_not_placed_stands_on_top() -> None:
    first = pages(shelves_pdf(refused_record()))[0]
    assert "Not approved: do not fill this cabinet." in first
    assert "Sulphuric acid (row 8) + Propan-2-ol (row 4)" in first
    assert "row 12: Hydrogen cylinder, 1 × 10 L" in first
    assert first.index("Conflicts that this plan does not solve") < first.index("Notes")
    assert first.index("Containers without a place") < first.index("Notes")
    assert "Every container has a place" not in first
    assert "Not decided" in text(shelves_pdf(unsure_record()))


def test_a_clean_plan_says_so_and_whether_it_is_signed() -> None:
    assert "Every container has a place, and every known conflict is kept apart." in text(
        shelves_pdf(signed_record())
    )
    assert "Record not signed at printing" in text(shelves_pdf(sample_record()))
    assert "Record not signed" not in text(shelves_pdf(signed_record()))


def test_a_crowded_shelf_spreads_over_pages_and_loses_nothing() -> None:
    record = sample_record()
    shelf = record["placement"]["shelves"][0]
    row = record["containers"][0]
    shelf["placed"] = []
    for number in range(150):
        key = f"x{number}"
        record["containers"].append({**copy.deepcopy(row), "key": key, "name": f"vial {number} of many"})
        x, y = 0.02 + 0.03 * (number % 30), 0.02 + 0.03 * (number // 30)
        shelf["placed"].append(
            {"container": key, "copy": 1, "label": str(number + 1), "x_m": x, "y_m": y, "diameter_m": 0.025,
             "height_m": 0.06, "kind": "other"}
        )  # fmt: skip
    leaves = pages(shelves_pdf(record))
    assert all(f"vial {number} of many" in " ".join(leaves) for number in range(150))
    lists = [leaf for leaf in leaves if "of many" in leaf]
    assert all("No. Container Kind" in leaf or "Container No. Place" in leaf for leaf in lists)


def test_an_empty_shelf_is_named_and_takes_no_drawing() -> None:
    record = sample_record()
    record["placement"]["shelves"][2]["placed"] = []
    written = text(shelves_pdf(record))
    assert "Compartment B, shelf 1" in written
    assert "nothing stands here." in written


def test_one_label_for_equal_containers_is_listed_once() -> None:
    record = sample_record()
    for item in record["placement"]["shelves"][0]["placed"]:
        item["label"] = "7" if item["container"] == "r3" else "2"
    written = text(shelves_pdf(record))
    assert "2 Toluene, reagent, 2 × 2.5 L flammable 7 Acetone, 3 × 2.5 L flammable" in written


def test_the_lists_go_tray_by_tray_and_the_index_by_name(museum_record: Record) -> None:
    data = shelves_pdf(museum_record)
    leaves = pages(data)
    assert len(leaves) <= 4
    names = {item["key"]: item["name"] for item in museum_record["containers"]}
    placed = [item for item in museum_record["containers"] if item["place"]]
    assert len(placed) >= 29
    for item in placed:
        compartment, shelf, tray = (part.split()[-1] for part in item["place"].split(", "))
        assert re.search(
            rf"{re.escape(item['name'])} [\d, –]*{compartment} / {shelf} / {tray}\b", leaves[0]
        ), item["name"]
    crowded = max(museum_record["placement"]["shelves"], key=lambda shelf: len(shelf["placed"]))
    leaf = next(
        leaf for leaf in leaves if f"Compartment {crowded['compartment']}, shelf {crowded['shelf']} " in leaf
    )
    lists = re.split(r"tray (?=\d No\.)", leaf.partition("front (door side)")[2])[1:]
    assert len(lists) == crowded["trays"]
    wide = crowded["width_m"] / crowded["trays"]
    for item in crowded["placed"]:
        assert names[item["container"]] in lists[int(item["x_m"] / wide)]


def test_type_on_the_plan_can_be_read(museum_record: Record) -> None:
    """Lists at least 8 pt; what stands in the drawings at least 5.5 pt and there in words beside them."""
    data = shelves_pdf(museum_record)
    for number in range(len(pages(data))):
        sizes = [run.size for run in runs(data, number)]
        assert min(sizes) >= 5.5
    numbers = [run for run in runs(data, len(pages(data)) - 1) if re.fullmatch(r"\d{1,2}", run.text.strip())]
    assert numbers and min(run.size for run in numbers) >= 6.5


def test_pairs_of_which_one_may_not_stay_are_counted_and_left_to_the_record(asked_record: Record) -> None:
    first = pages(shelves_pdf(asked_record))[0]
    assert "Conflicts that this plan does not solve" not in first
    assert "Every container has a place" not in first
    assert "Of what may stay, every container has a place" in first
    refused = {item["name"] for item in asked_record["substances"] if item["verdict"] == "not approved"}
    gone = sum(bool(refused & set(item["names"])) for item in asked_record["conflicts"] if not item["solved"])
    assert f"do not stand here: {gone}." in first
