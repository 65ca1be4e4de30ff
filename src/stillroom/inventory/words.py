"""The words that people use in inventories: headers, states, closures, materials, openings.

Common practice, no source. English with the usual German, French and Spanish words.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from functools import cache
from importlib import resources

from stillroom.inventory.model import Closure, State

__all__ = [
    "COLUMNS",
    "closure_of",
    "column_of",
    "material_of",
    "openings_of",
    "plain",
    "state_of",
    "unit_in_header",
]

COLUMNS = (
    "name", "cas", "amount", "unit", "count", "state", "concentration", "container", "closure",
    "opened_per_week", "note",
)  # fmt: skip


@cache
def _headers() -> dict[str, str]:
    """Header in plain spelling -> column."""
    text = (resources.files("stillroom.inventory") / "data" / "headers.toml").read_text("utf-8")
    return {header: column for column, headers in tomllib.loads(text).items() for header in headers}


def plain(text: str) -> str:
    """Lower case without accents, brackets, dots and underscores; single spaces."""
    text = unicodedata.normalize("NFKD", text.casefold().replace("ß", "ss"))
    text = "".join(letter for letter in text if not unicodedata.combining(letter))
    return " ".join(re.sub(r"[^\w#%°º]|_", " ", text).split())


def column_of(header: str) -> str:
    """The column that a header names, several like "amount or count", or empty where it is not known.

    Examples
    --------
    >>> column_of("CAS No."), column_of("Container size (mL)"), column_of("Qty")
    ('cas', 'amount', 'amount or count')
    """
    whole = plain(header)
    outside = plain(
        re.sub(r"\([^()]*\)|\[[^\[\]]*\]|/\s*(?:ml|l|g|kg|mg)\s*$", " ", header, flags=re.IGNORECASE)
    )
    return _headers().get(whole) or _headers().get(outside) or ""


def unit_in_header(header: str) -> str:
    """The unit that a header gives for its column ("Size (mL)", "Amount [g]"), or empty."""
    match = re.search(
        r"[(\[/]\s*(ml|l|cl|g|kg|mg|µl|litres?|liters?|grams?|gal|lb|%)\s*[)\]]?\s*$", header, re.IGNORECASE
    )
    return match[1] if match else ""


_STATES: tuple[tuple[State, str], ...] = (
    ("gas", r"gas(?:eous|formig|eux|eoso)?|gaz(?:eux)?|g|cylinder|compressed.*|druckgas|vapou?r"),
    ("solution", r"solution|solutions|sol|soln|aq|aqueous|aqueous solution|losung|wassrig|en solution"
                 r"|disolucion|solucion|soluzione|gelost|liquid solution|dissolved"),
    ("liquid", r"liquid|liquids|liq|l|fluid|flussig|flussigkeit|liquide|liquido|oil|.* liquid"),
    ("solid", r"solid|solids|s|powder|fine powder|crystals?|crystalline|pellets?|flakes?|granules?|granular"
              r"|lumps?|beads|metal|wax|fest|feststoff|pulver|kristallin|solide|poudre|solido|polvo|.* solid"
              r"|powdered|dust|tablets?|paste|polvere|cristalli|granuli|pellet"),
)  # fmt: skip


def state_of(text: str) -> State | None:
    """The state that a word names; None where the word is not known."""
    word = plain(text)
    return next((state for state, words in _STATES if re.fullmatch(words, word)), None)


_CLOSURES: tuple[tuple[Closure, str], ...] = (
    ("sealed ampoule", r"ampou?le|ampul+e|flame seal|fused"),
    ("vented cap", r"\bvent|breather|entluft|degas"),
    ("septum cap", r"sept|sure\W?seal|crimp|valve cap"),
    ("ground-glass stopper", r"ground|stopper|stopfen|schliff|rode|tapon esmerilado|glass top"),
    ("snap cap", r"snap|push.?(?:on|in|fit)|press.?(?:on|lid)|clip lid|schnapp|plug"),
    ("metal can", r"metal can|\bcan\b|\btin\b|drum|dose|kanister metall|bidon metal"),
    ("screw cap with liner", r"(?:ptfe|teflon|liner|lined|gasket|disc|cone|sealed screw|foil).*|.*with seal"),
    ("screw cap without liner", r"screw|gl.?\d\d|schraub|a vis|rosca|twist|threaded|polypropylene cap|cap\b"),
    ("open", r"open|none|no closure|no lid|no cap|parafilm|offen|ouvert|abierto|cotton|beaker"),
)  # fmt: skip


def closure_of(text: str) -> Closure | None:
    """The closure that a word names; None where it is not known.

    A screw cap whose liner is not mentioned counts as one without, which lets more through.
    """
    word = plain(text)
    if word in ("", "not stated", "unknown", "n a", "unbekannt"):
        return "not stated"
    if word in (name.replace("-", " ") for name, _ in _CLOSURES):
        return next(name for name, _ in _CLOSURES if name.replace("-", " ") == word)
    if re.search(r"without liner|no liner|unlined", word):
        return "screw cap without liner"
    return next((closure for closure, words in _CLOSURES if re.search(words, word)), None)


_MATERIALS = (
    ("gas cylinder", r"cylinder|lecture bottle|gasflasche|bouteille de gaz|cilindro|botella de gas|bombola"),
    ("amber glass", r"amber|brown glass|braunglas|verre brun|vidrio ambar|verre ambre|vetro scuro"),
    ("glass", r"glass|glas|verre|vidrio|vetro|winchester|schott|ampou?le|duran|vial|jar"),
    ("HDPE", r"hdpe|polyethylene|\bpe\b|nalgene|ldpe"),
    ("PP", r"\bpp\b|polypropylene"),
    ("fluoropolymer", r"ptfe|teflon|\bpfa\b|\bfep\b|fluoro"),
    ("plastic", r"plastic|kunststoff|plastique|plastico|plastica|poly|jerrycan|jerrican|pet\b|\bcarboy"),
    ("metal", r"metal|\btin\b|\bcan\b|steel|alumini?um|blech|dose|drum|fut|lata|bidon|aerosol"),
    ("bag", r"\bbag|beutel|sac|bolsa|sachet"),
    ("cardboard", r"cardboard|carton|fibre|paper|box|karton"),
)


def material_of(text: str) -> str:
    """The material of a container, or the text itself where it is not recognised."""
    word = plain(text)
    return next((material for material, words in _MATERIALS if re.search(words, word)), text.strip())


_OPENINGS = (
    (
        5.0,
        r"daily|every day|each day|once a day|taglich|quotidien(?:nement)?|chaque jour|diari[oa].*|often",
    ),
    (10.0, r"twice (?:a day|daily)|2 ?x (?:a day|daily|day)"),
    (1.0, r"weekly|every week|once (?:a|per) week|wochentlich|hebdomadaire|semanal|1 ?x week"),
    (2.0, r"twice (?:a|per) week|2 ?x (?:a week|week|per week)"),
    (0.5, r"fortnightly|every two weeks|biweekly"),
    (0.25, r"monthly|once a month|monatlich|mensuel(?:lement)?|mensual|rarely|seldom|selten|rarement"),
    (0.02, r"yearly|annually|once a year|jahrlich|annuel|anual"),
    (0.0, r"never|sealed|unopened|not opened|new|closed|nie|jamais|nunca|ungeoffnet|originalverschlossen"),
)


def openings_of(text: str) -> float | None:
    """Openings a week [1/week] that a word names; None where it is not known."""
    word = plain(text)
    return next((number for number, words in _OPENINGS if re.fullmatch(words, word)), None)
