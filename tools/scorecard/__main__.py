"""``python -m tools.scorecard``: every model of the filter against the published sets that STILLROOM_REFERENCE names."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from tools.scorecard import cartridges, data, figures, judge
from tools.scorecard.judge import Score

ROOT = Path(__file__).resolve().parents[2]
IMAGES = ROOT / "docs" / "images" / "validation"


def main() -> int:
    """Write docs/validation.md and its figures."""
    folder = Path(os.environ.get("STILLROOM_REFERENCE", ""))
    if not (folder / "isotherms_on_carbon.csv").is_file():
        print("scorecard: set STILLROOM_REFERENCE to the folder of published data", file=sys.stderr)
        return 2
    carbons = data.carbons(folder)
    clean = {name: [one for one in rows if one.tier in "AB"] for name, rows in carbons.items()}
    several = {name: rows for name, rows in clean.items() if len({one.cas for one in rows}) > 1}
    vapour = [score for name, rows in several.items() for score in judge.left_out(name, rows)]
    peer = np.concatenate(
        [
            judge.plain([one for one in rows if one.cas != cas], [one for one in rows if one.cas == cas])
            for rows in several.values()
            for cas in dict.fromkeys(one.cas for one in rows)
        ]
    )
    carbon = [score for name, rows in clean.items() if rows for score in judge.unmeasured(name, rows)]
    low_rows = {name: rows for name, rows in carbons.items() if name.endswith("(Do)")}
    low = [score for name, rows in low_rows.items() for score in judge.split(name, rows)]
    low_peer = np.concatenate([_plain_split(rows) for rows in low_rows.values()])
    together = []
    for name, rows in clean.items():
        sets = [(t, parts) for on, t, parts in data.mixtures(folder) if on == name]
        together += judge.mixed(name, rows, sets) if rows and sets else []
    figures.parity(IMAGES / "parity.png", [("a vapour left out", vapour), ("a carbon left out", carbon), ("fitted above 30 Pa, asked below 3", low)])  # fmt: skip
    for name, rows in low_rows.items():
        figures.isotherms(IMAGES / "low.png", f"{name}: fitted right of the dashed line", [one for one in rows if one.pressure > 30], rows, below=30.0)  # fmt: skip
    wide = next(rows for name, rows in clean.items() if name.startswith("Sorbonorit 4"))
    toluene = [one for one in wide if one.cas == "108-88-3"]
    figures.isotherms(
        IMAGES / "transfer.png", "One carbon, fitted to toluene alone", toluene, wide, below=None
    )
    judged = {**clean, **low_rows}
    through = cartridges.cartridges(folder)
    shown = [one for one in through if one.name in ("Benzene", "Toluene", "Ethanol", "Butanol")]
    figures.breakthrough(IMAGES / "breakthrough.png", shown)
    page = "\n".join(
        [
            *_page(vapour, peer, carbon, low, low_peer, together),
            "",
            *cartridges.lines(through),
            *_sources(judged)[1:],
        ]
    )
    (ROOT / "docs" / "validation.md").write_text(page + "\n", "utf-8")
    print(f"docs/validation.md; vapour left out: {_words(vapour)}; below 3 Pa: {_words(low)}")
    return 0


def _plain_split(rows: list[data.Point]) -> np.ndarray:
    train = [one for one in rows if one.pressure > 30]
    known = {one.cas for one in train}
    return judge.plain(train, [one for one in rows if one.pressure < 3 and one.cas in known])


def _pooled(scores: Sequence[Score]) -> tuple[np.ndarray, np.ndarray]:
    return np.concatenate([one.off for one in scores]), np.concatenate([one.inside for one in scores])


def _words(scores: Sequence[Score]) -> str:
    off, inside = _pooled(scores)
    size = np.abs(off)
    return f"{len(off)} points, median |ln error| {np.median(size):.3f}, nine tenths within {np.quantile(size, 0.9):.2f}, {100 * inside.mean():.0f} % inside"


def _peer(off: np.ndarray) -> str:
    return f"median {np.median(np.abs(off)):.3f}, nine tenths within {np.quantile(np.abs(off), 0.9):.2f}"


def _table(scores: Sequence[Score]) -> list[str]:
    lines = [
        "| carbon | vapour | points | bias (ln) | spread (ln) | median \\|ln error\\| | inside 90 % |",
        "|---|---|---|---|---|---|---|",
    ]
    for one in scores:
        off = one.off
        lines.append(
            f"| {one.carbon} | {one.what.lower()} | {len(off)} | {np.mean(off):+.2f} | {np.std(off):.2f} | "
            f"{np.median(np.abs(off)):.3f} | {100 * one.inside.mean():.0f} % |"
        )
    return lines


def _page(
    vapour: Sequence[Score],
    peer: np.ndarray,
    carbon: Sequence[Score],
    low: Sequence[Score],
    low_peer: np.ndarray,
    together: Sequence[Score],
) -> list[str]:
    bad = [one for one in vapour if np.median(np.abs(one.off)) > 0.25]
    straight = [one for one in together if "Xylene with Toluene" not in one.what and "Toluene with P-Xylene" not in one.what]  # fmt: skip
    return [
        "# Validation",
        "",
        "Written by `make scorecard`, which reads published sets where `STILLROOM_REFERENCE` points to them; do not edit. ln error is the natural logarithm of measured over",
        "predicted: 0.1 is about 10 %, 0.7 a factor of two; bias above zero means that more was held than predicted. “Inside” counts points in the 90 % interval. Tiers: printed tables and digitised",
        "figures, unless a section says otherwise.",
        "",
        "The spreads of the fit and the exponent of affinity were chosen on these sets (docs/theory/media.md), so sets that nobody looked at will be met less well.",
        "",
        "## A vapour left out",
        "",
        f"Each vapour from the others on the same carbon. **{_words(vapour)}.** Dubinin and Radushkevich's law alone, pooled alike, on the same points: {_peer(peer)}.",
        "",
        *_table(vapour),
        "",
        "![Measured against predicted](images/validation/parity.png) ![One carbon: fitted to toluene alone](images/validation/transfer.png)",
        "",
        "Where it is bad: "
        + "; ".join(f"{one.what.lower()} on {one.carbon} ({np.median(one.off):+.2f})" for one in bad)
        + ".",
        "",
        "## A carbon left out",
        "",
        f"Every vapour from the shipped `generic` medium, no point of the carbon used. **{_words(carbon)}.**",
        "",
        *_table(carbon),
        "",
        "## Fitted above 30 Pa, asked below 3 Pa",
        "",
        f"The question that counts: cabinets work there. One set reaches it, of unconfirmed origin. **{_words(low)}**, worst {np.abs(_pooled(low)[0]).max():.2f}. Dubinin and Radushkevich's law alone: {_peer(low_peer)}.",
        "",
        *_table(low),
        "",
        "![Isotherms and bands](images/validation/low.png)",
        "",
        "Where it is bad: predictions there are too high, most for benzene below 0.6 Pa, of which two series of the set differ by half.",
        "",
        "## Mixtures from pure vapours",
        "",
        f"Ideal adsorbed solution theory. All as printed: {_words(together)}; without p-xylene with toluene, whose two pressures stand exchanged in the published table: **{_words(straight)}**.",
        "",
        *_table(together),
        "",
        "Where it is bad: traces of benzene under p-xylene (too little predicted) and under toluene (too much); no theory that was tried meets both.",
    ]


def _sources(rows: Mapping[str, Sequence[data.Point]]) -> list[str]:
    """The papers of each carbon."""
    lines = ["", "## Sources", "", "As digitised in the isotherm database of NIST and ARPA-E.", ""]
    for name, points in rows.items():
        if points:
            papers = "; ".join(dict.fromkeys(one.source for one in points))
            lines.append(f"- {name}: {papers}")
    return lines


if __name__ == "__main__":
    sys.exit(main())
