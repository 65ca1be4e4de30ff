"""Charts as SVG text, drawn on the server: the same in a page and on paper."""

from stillroom.documents.charts.clocks import clocks_svg
from stillroom.documents.charts.exhaust import exhaust_svg
from stillroom.documents.charts.savings import savings_svg
from stillroom.documents.charts.shelves import front_svg, legend_svg, shelf_svg, shelves_svg

__all__ = ["clocks_svg", "exhaust_svg", "front_svg", "legend_svg", "savings_svg", "shelf_svg", "shelves_svg"]
