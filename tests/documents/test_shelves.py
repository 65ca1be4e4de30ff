"""The shelf plan, read back by PDFium."""

from __future__ import annotations

import copy

from documents.reading import pages, text
from documents.sample_record import refused_record, sample_record, signed_record, unsure_record
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
    assert all("No. Container Kind" in leaf for leaf in lists)


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
