"""A small SVG writer: elements with presentation attributes only, so that a strict content policy lets them through."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape, quoteattr, unescape

Paint = float | str | None
"""a presentation attribute; None leaves it out"""

__all__ = ["FAMILY", "Drawing", "described", "figure", "spread"]

FAMILY = "'Source Sans 3', sans-serif"


def figure(value: float) -> str:
    """A coordinate with at most two digits after the point; never in exponent form."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def spread(wanted: Sequence[float], *, gap: float, low: float, high: float) -> list[float]:
    """Heights near the wanted ones, at least `gap` apart and within `low` … `high` where there is room."""
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    placed = [0.0] * len(wanted)
    previous = low - gap
    for index in order:
        previous = placed[index] = max(wanted[index], previous + gap)
    ceiling = high
    for index in reversed(order):
        placed[index] = min(placed[index], ceiling)
        ceiling = placed[index] - gap
    return placed


@dataclass
class Drawing:
    """An SVG under construction. `key` makes its ids unique on a page that shows several drawings."""

    width: float
    height: float
    title: str
    desc: str
    key: str
    parts: list[str] = field(default_factory=list)

    def add(self, tag: str, body: Paint = None, **attributes: Paint) -> None:
        """Append an element; `stroke_width` becomes ``stroke-width``, None is left out, `css` becomes ``class``."""
        written = "".join(
            f" {'class' if name == 'css' else name.replace('_', '-')}="
            + quoteattr(figure(value) if isinstance(value, int | float) else value)
            for name, value in attributes.items()
            if value is not None
        )
        self.parts.append(f"<{tag}{written}/>" if body is None else f"<{tag}{written}>{body}</{tag}>")

    def line(self, x1: float, y1: float, x2: float, y2: float, **attributes: Paint) -> None:
        self.add("line", x1=x1, y1=y1, x2=x2, y2=y2, **({"stroke": "#000"} | attributes))

    def path(
        self, points: Iterable[tuple[float, float]], *, close: bool = False, **attributes: Paint
    ) -> None:
        drawn = "M" + "L".join(f"{figure(x)} {figure(y)}" for x, y in points) + ("Z" if close else "")
        self.add("path", d=drawn, **({"fill": "none"} | attributes))

    def text(self, x: float, y: float, words: str, *, size: float = 12, **attributes: Paint) -> None:
        self.add("text", escape(words), x=x, y=y, font_size=size, **({"fill": "#000"} | attributes))

    def halo(self, x: float, y: float, words: str, *, size: float = 12, **attributes: Paint) -> None:
        """Text on a white ground, readable over lines; its width is estimated from the number of letters."""
        wide = 0.5 * size * len(words) + 6
        left = x - {"middle": wide / 2, "end": wide - 3}.get(str(attributes.get("text_anchor")), 3.0)
        self.add("rect", x=left, y=y - 0.85 * size, width=wide, height=1.15 * size, fill="#fff")
        self.text(x, y, words, size=size, **attributes)

    def __str__(self) -> str:
        title, desc = f"{self.key}-title", f"{self.key}-desc"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {figure(self.width)} {figure(self.height)}" '
            f'class="chart chart-{self.key}" role="img" aria-labelledby="{title} {desc}" '
            f'font-family="{FAMILY}" font-weight="400">'
            f'<title id="{title}">{escape(self.title)}</title><desc id="{desc}">{escape(self.desc)}</desc>'
            f'<rect width="100%" height="100%" fill="#fff"/>{"".join(self.parts)}</svg>'
        )


def described(svg: str) -> str:
    """The text alternative that a drawing of ours carries: its title and description."""
    title, desc = (svg.split(f"<{tag} ", 1)[1].split(">", 1)[1].split("<", 1)[0] for tag in ("title", "desc"))
    return unescape(f"{title}. {desc}")
