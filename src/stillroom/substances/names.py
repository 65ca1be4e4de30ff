"""A name as people write it, taken apart: the substance, its strength, its solvent, its grade.

"Hydrochloric acid, ACS, 37 %" is the substance "Hydrochloric acid", the strength "37 %" and the grade "ACS".
Nothing is looked up here except whether the name, whole, is known already.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

__all__ = ["NameParts", "key", "take_apart"]

_NUMBER = r"\d+(?:[.,]\d+)?"
_STRENGTH = re.compile(
    rf"""(?<![\w.,/-])
    (?:(?:≥|>=|>|~|ca\.?|approx\.?|min\.?|wt\.?|vol\.?|w/w|v/v|w/v)\s*)?
    {_NUMBER}(?:\s*(?:-|–|to)\s*{_NUMBER})?\s*
    (?:
      (?:(?:wt|vol|gew|ma|m|v)\.?\s?-?\s?)?(?:%|percent\b|per\ cent\b|pct\b|％)
      (?:\s*\(?(?:w/w|w/v|v/v|m/m|m/v|p/p|p/v|wt/wt|wt/vol|vol/vol|wt\.?|vol\.?
         |by\ (?:weight|volume|mass)|(?:atom\s?)?D)\)?(?!\w))?
      | (?:m?mol|g)(?:\s?/\s?(?:l|dm\^?[3³])|[\s.·]?(?:l\s?\^?[-−⁻–]\s?[1¹]|dm\s?\^?[-−⁻–]\s?[3³]))(?![\w'’-])
      | (?:mM|µM|M|N|molar|normal|eq/l|val/l)(?![\w'’-]|,\w)
      | -?vol(?:ume)?s?\b(?!\s*[.%])
      | (?:mg|µg|μg|ug|g)/m?[lL]\b | pp[mb]\b
    )
    | \b[NM]/\d{{1,4}}\b""",
    re.VERBOSE | re.IGNORECASE,
)
_ENRICHMENT = re.compile(rf"[\s,(]*(?<![\w.,]){_NUMBER}\s*atom[\s-]*%\s*D\b\)?", re.IGNORECASE)
"""Isotopic purity ("99.8 atom % D"): a grade, no strength."""
_SOLVENT = re.compile(r"[\s,(]+(?:in|dans)\s+(?P<solvent>[^()]+)\)?$", re.IGNORECASE)
_WATER = re.compile(
    r"(?:\(\s*aq\.?\s*\)|\baq\.?(?=[\s,)]|$)|\baqueous\b|\bwässrig\w*|\bacuosa\b|\baqueuse\b)"
    r"(?:\s+sol(?:ution|n\.?|\.)?\b)?",
    re.IGNORECASE,
)
_FORMS = {
    "concentrated": r"conc(?:entrated|\.)?|konz(?:entriert\w*|\.)?|concentr[ée]e?",
    "fuming": r"fuming|rauchend\w*",
    "glacial": r"glacial",
    "dilute": r"dil(?:ute[d]?|\.)?|verd(?:ünnt\w*|\.)",
    "saturated": r"sat(?:urated|d\.?|\.)?|gesättigt\w*",
    "solution": r"solutions?|sol[’']?n\.?|lösung|soluci[óo]n",
}
_FORM = {
    form: re.compile(rf"(?<![\w-])(?:{words})(?![\w-])", re.IGNORECASE) for form, words in _FORMS.items()
}
_STABILISED = re.compile(
    r"(?:,\s*[\w-]+\s+(?=stabili[sz]ed)|[\s,(;]+)(?:(?:un|non[- ]?)?stabili[sz]ed|inhibited|preserved|denatured|contain(?:s|ing)|with|w/o"
    r"|without|stab\.?|stabilisiert|vergällt|stabilis[ée]e?|mit)(?=[\s,)]|$)[^(),;]*\)?",
    re.IGNORECASE,
)
_STABILISER = re.compile(
    rf"[\s,(;+]+(?:(?:{_NUMBER}\s*(?:[-–]\s*{_NUMBER})?\s*ppm\s+(?:of\s+)?(?:hydroquinone|4-tert-butylcatechol|TBC|thymol|pyrogallol"
    rf"|amylene|2-methyl-2-butene|MEHQ|BHT))|BHT|amylene|MEHQ)(?=[\s,)]|$)(?:\s+added)?\)?",
    re.IGNORECASE,
)
"""A stabiliser named alone ("(BHT)", "250 ppm BHT"): in solvents and monomers below 0.1 % (common practice, no source)."""
_GRADE = re.compile(
    r"""(?<![\w-])(?:
    (?:acs|ar|lr|cp|gr|hplc|lc[-/ ]?ms|gc(?:[-/ ]?ms)?|uhplc|uplc|uv|ir|nmr|usp|nf|fcc|bp|ep|jp|ph\.?\s?eur\.?
       |rpe|gpr|pro\ analysis?|p\.?\ ?a\.?|z\.?\ ?a\.?|puriss\.?|purum|pract\.?|analr?|reag\.?|reagent(?:s|plus)?
       |analytical|laboratory|lab|technical|techn?\.?|industrial|pharma(?:ceutical)?|food|electronic|spectral
       |spectro(?:scop(?:y|ic)|photometric|graphic)?|molecular\ biology|biotech(?:nology)?|biochemical|gradient
       |certified|histolog(?:y|ical)|preparative|synthesis|residue\ analysis|pesticide|trace\ metals?|peptide
       |sequencing|electrophoresis|ultra\ ?pure|extra\ pure|high\ purity|chemically\ pure|super\ ?pure|optical
       |commercial|anhydrous)
      (?:\ (?:reagent|grade|quality|basis|analysis|tested))*
    | (?:for|zur|für|pour)\ (?:analysis|synthesis|hplc|gc|spectroscopy|analyses?|die\ synthese|synth[èe]se
       |residue\ analysis|histology|molecular\ biology|laboratory\ use|cleaning|the\ laboratory)
    | grade|reagent|pure|rein|reinst|dry|dried|extra\ dry|absolute|abs\.?|wasserfrei|anhydre|redistilled
    | distilled|purity|assay|crude|neat|active\ chlorine|\w+[- ]free|\w+[- ]stabili[sz]ed|em\ grade|for\ (?:[\w-]+\ ){1,3}analysis|moistened|wetted|wet|damp|standard|volumetric|nh3\ basis|as\ nh3|stabili[sz]ed|denatured
    | inhibited|ultra|low\ odou?r|odou?rless
    )(?![\w-])\.?""",
    re.VERBOSE | re.IGNORECASE,
)
_ADDED = re.compile(r"(?:contain(?:s|ing)|with|mit)\s", re.IGNORECASE)
_DENATURED = re.compile(
    r"(?:denatured|vergällt|dénaturée?)\s+(?:with|mit|avec|by)\s(?!\s*(?:denatonium|bitrex))", re.IGNORECASE
)
_PER_CENT = re.compile(
    rf"({_NUMBER})\s*(?:vol\.?|wt\.?|gew\.?|[mvw]/[mvw])?[-\s]*(?:%|percent)", re.IGNORECASE
)
_MUCH = 2.0
"""Of a usual stabiliser [%]: more than that counts (own choice; chloroform holds up to 1 % of ethanol, from memory)."""
_WET = re.compile(r"water|wasser", re.IGNORECASE)
_HARMLESS = re.compile(
    r"\bppm\b|water|wasser|methanol|ethanol|amylene|BHT|hydroquinone|MEHQ|pyrogallol|stabili[sz]er|inhibitor|indicator"
    r"|thymol|copper|silver|\bTMS\b|tetramethylsilane|molecular sieve|cap\b|label|liner|septum|out\b|\bno\b",
    re.IGNORECASE,
)
_SHAPE = re.compile(
    r"(?<![\w-])(?:fine\s+)?(?:powder(?:ed)?|pellets?|flakes?|granul(?:es|ar|ated)|crystals?|crystalline|beads|pearls"
    r"|prills?|lumps?|sticks?|turnings|chips|ribbon|wire|foil|dust|solid|tablets|liquid|pulver|plätzchen|poudre|cristaux)"
    r"(?![\w-])",
    re.IGNORECASE,
)
_BRACKET = re.compile(r"\s\(((?![IVX]+\))[^()]+)\)")
_GREEK = {"α": "alpha", "β": "beta", "γ": "gamma", "δ": "delta", "ε": "epsilon", "ω": "omega", "µ": "mu"}


@dataclass(frozen=True, slots=True)
class NameParts:
    """What a written name holds; `cores` are the readings of the bare name, the most complete first."""

    text: str
    cores: tuple[str, ...]
    strength: str = ""
    solvent: str = ""
    grade: str = ""
    form: str = ""
    """concentrated, fuming, glacial, dilute, saturated or solution; empty where none is written"""
    shape: str = ""
    """powder, pellets, … as written"""
    rest: str = ""
    """what remains when all of this is taken away, without brackets"""
    added: str = ""
    """what the name says is in it besides ("with mercury chloride"), other than a stabiliser"""
    bracket: str = ""
    """what stood in brackets at the end and was left out of the last core"""


def key(name: str) -> str:
    """The spelling under which a name is found: case, accents, spaces, hyphens and brackets do not matter."""
    text = unicodedata.normalize("NFKC", name).replace("ß", "ss").casefold()
    text = "".join(_GREEK.get(letter, letter) for letter in text)
    letters = unicodedata.normalize("NFKD", text)
    text = "".join(letter for letter in letters if not unicodedata.combining(letter))
    text = text.replace("sulph", "sulf").replace("aluminum", "aluminium").replace("cesium", "caesium")
    text = re.sub(r"[\s-](\d+)-?(?:water|wasser|hydrate?)\b", _hydrate, text)
    return re.sub(r"[^a-z0-9+]", "", text)


def _hydrate(match: re.Match[str]) -> str:
    """ "-5-water" as schools write it."""
    words = ["anhydrous", "mono", "di", "tri", "tetra", "penta", "hexa", "hepta", "octa", "nona", "deca"]
    number = int(match[1])
    return f"{words[number]}hydrate" if 1 <= number <= 10 else match[0]


def _cut(pattern: re.Pattern[str], text: str) -> tuple[str, list[str]]:
    found = [re.sub(r"\((?=[^)]*$)", "", match[0]).strip(" ,;") for match in pattern.finditer(text)]
    return (pattern.sub(" ", text) if found else text), found


def _adds(clause: str) -> bool:
    """Whether a clause ("with …") names something that counts, other than a little of a usual stabiliser."""
    clause = clause.strip("( ")
    if _DENATURED.match(clause):
        return True
    shares = [float(found.replace(",", ".")) for found in _PER_CENT.findall(clause)]
    little = _HARMLESS.search(clause) and (max(shares, default=0.0) <= _MUCH or _WET.search(clause))
    return bool(_ADDED.match(clause)) and not little


def _tidy(text: str) -> str:
    text = re.sub(r"\(\s*[,;]*\s*\)|\[\s*\]", " ", text)
    text = re.sub(r"\s*[,;:]\s*(?=[,;:]|$)|\s+", lambda match: " " if match[0].isspace() else "", text)
    return text.strip(" ,;:.-–/").strip()


def take_apart(text: str) -> NameParts:
    """The parts of a name as written.

    Examples
    --------
    >>> parts = take_apart("Hydrochloric acid, ACS, 37 %")
    >>> parts.cores[-1], parts.strength, parts.grade
    ('Hydrochloric acid', '37 %', 'ACS')
    >>> take_apart("n-Butyllithium 2.5 M in hexanes").solvent
    'hexanes'
    """
    whole = _tidy(" ".join(unicodedata.normalize("NFC", text).split()))
    cores = [whole]
    rest, stabilisers = _cut(_STABILISED, whole)
    rest, alone = _cut(_STABILISER, rest)
    solvent = ""
    if match := _SOLVENT.search(rest):
        solvent, rest = match["solvent"].strip(" ,.;"), rest[: match.start()]
    rest, enrichments = _cut(_ENRICHMENT, rest)
    rest, strengths = _cut(_STRENGTH, rest)
    if not strengths and solvent and (match := _STRENGTH.search(solvent)) and match.end() == len(solvent):
        strengths, solvent = [match[0].strip()], solvent[: match.start()].strip(" ,;")
    rest, water = _cut(_WATER, rest)
    cores += [_tidy(rest), _tidy(_BRACKET.sub(" ", rest))]
    forms = [form for form, pattern in _FORM.items() if pattern.search(rest)]
    for pattern in _FORM.values():
        rest = pattern.sub(" ", rest)
    rest, shapes = _cut(_SHAPE, rest)
    cores.append(_tidy(rest))
    rest, grades = _cut(_GRADE, rest)
    cores.append(_tidy(rest))
    bare = _tidy(_BRACKET.sub(" ", rest))
    cores.append(bare)
    if bare.count(",") == 1 and not re.search(r"\d,\d|\w,\w", bare):
        cores.append(" ".join(reversed([part.strip() for part in bare.split(",")])))
    return NameParts(
        text=text.strip(),
        cores=tuple(dict.fromkeys(core for core in cores if core)),
        strength=", ".join(dict.fromkeys(strengths)),
        solvent=solvent or ("water" if water else ""),
        grade=", ".join(dict.fromkeys(grades + enrichments + stabilisers + alone)),
        form=next((form for form in forms if form != "solution"), forms[0] if forms else ""),
        shape=shapes[0] if shapes else "",
        rest=bare,
        added=", ".join(clause for clause in stabilisers if _adds(clause)),
        bracket=", ".join(text for text in _BRACKET.findall(rest) if text.strip()),
    )
