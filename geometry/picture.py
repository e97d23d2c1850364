"""Pictures of measured shapes, as SVG or PNG. Coordinates are millimeters on paper, y downward."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, TypeAlias
from xml.sax.saxutils import escape

import numpy as np
import shapely

from geometry.arrays import Floats, Ints
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.plane import Region, Ring, bounds_of
from geometry.views import VIEWS, view_lines

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

TEXT_MM = 3.2
"""Height of letters."""

PNG_DOTS_PER_MM = 6
_OVERSAMPLED = 3
"""PNG is drawn larger by this factor and scaled down, to smooth its lines."""

Anchor: TypeAlias = Literal["start", "middle", "end"]


@frozen(eq=False)
class Area:
    """A filled outline with holes; rings (n, 2) each."""

    rings: Sequence[Floats]
    fill: str = "#e4e4e4"
    stroke: str = "#202020"
    width: float = 0.35


@frozen(eq=False)
class Strokes:
    """Lines (n, 2) of one style; `dash` is the length of dashes and of gaps, 0 for solid lines."""

    lines: Sequence[Floats]
    stroke: str = "#202020"
    width: float = 0.35
    dash: float = 0.0


@frozen
class Words:
    """A line of text; (x, y) is the middle of its height at the anchor, `size` the height of its letters."""

    text: str
    x: float
    y: float
    anchor: Anchor = "middle"
    color: str = "#202020"
    size: float = TEXT_MM


@dataclass
class Picture:
    """The contents of a sheet, in drawing order."""

    width: float
    height: float
    parts: list[Area | Strokes | Words] = field(default_factory=list)

    def add(self, *parts: Area | Strokes | Words) -> None:
        """Draw parts on top of the current contents."""
        self.parts.extend(parts)

    def svg(self) -> str:
        """The sheet as SVG, full size."""
        body = "\n".join(_svg_part(part) for part in self.parts)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width:.4g}mm" height="{self.height:.4g}mm" '
            f'viewBox="0 0 {self.width:.4g} {self.height:.4g}" font-family="sans-serif" font-size="{TEXT_MM}" '
            'stroke-linejoin="round" stroke-linecap="round">\n'
            f'<rect width="100%" height="100%" fill="#ffffff"/>\n{body}\n</svg>\n'
        )

    def png(self) -> bytes:
        """The sheet as PNG at 6 dots per millimeter (about 150 dpi)."""
        from PIL import Image, ImageDraw

        scale = PNG_DOTS_PER_MM * _OVERSAMPLED
        size = (round(self.width * scale), round(self.height * scale))
        image = Image.new("RGB", size, "#ffffff")
        draw = ImageDraw.Draw(image)
        for part in self.parts:
            _png_part(draw, part, scale)
        small = image.resize((size[0] // _OVERSAMPLED, size[1] // _OVERSAMPLED), Image.Resampling.LANCZOS)
        content = io.BytesIO()
        small.save(content, "PNG", dpi=(PNG_DOTS_PER_MM * 25.4, PNG_DOTS_PER_MM * 25.4))
        return content.getvalue()


def _svg_part(part: Area | Strokes | Words) -> str:
    if isinstance(part, Words):
        size = "" if part.size == TEXT_MM else f' font-size="{part.size:g}"'
        return (
            f'<text x="{part.x:.2f}" y="{part.y + 0.35 * part.size:.2f}" text-anchor="{part.anchor}" '
            f'fill="{part.color}"{size}>{escape(part.text)}</text>'
        )
    if isinstance(part, Area):
        path = " ".join(f"{_svg_path(ring)} Z" for ring in part.rings)
        return (
            f'<path d="{path}" fill="{part.fill}" fill-rule="evenodd" stroke="{part.stroke}" '
            f'stroke-width="{part.width}"/>'
        )
    dash = f' stroke-dasharray="{part.dash} {part.dash}"' if part.dash else ""
    path = " ".join(_svg_path(line) for line in part.lines)
    return f'<path d="{path}" fill="none" stroke="{part.stroke}" stroke-width="{part.width}"{dash}/>'


def _svg_path(points: Floats) -> str:
    return "M" + " L".join(f"{x:.2f},{y:.2f}" for x, y in points.tolist())


def _png_part(draw: ImageDraw, part: Area | Strokes | Words, scale: float) -> None:
    if isinstance(part, Words):
        from PIL import ImageFont

        font = ImageFont.load_default(part.size * scale)
        anchor = {"start": "lm", "middle": "mm", "end": "rm"}[part.anchor]
        text = part.text.replace("×", "x")  # the library's default font lacks this character
        draw.text((part.x * scale, part.y * scale), text, fill=part.color, font=font, anchor=anchor)
        return
    width = max(round(part.width * scale), 1)
    if isinstance(part, Area):
        for number, ring in enumerate(part.rings):
            corners = [(x * scale, y * scale) for x, y in ring.tolist()]
            draw.polygon(corners, fill=part.fill if number == 0 else "#ffffff")
            draw.line([*corners, corners[0]], fill=part.stroke, width=width, joint="curve")
        return
    for line in part.lines:
        for piece in _dashes(line, part.dash) if part.dash else [line]:
            draw.line([(x * scale, y * scale) for x, y in piece.tolist()], fill=part.stroke, width=width, joint="curve")


def _dashes(line: Floats, dash: float) -> list[Floats]:
    """Dashes of a dashed line, segment by segment."""
    import numpy as np

    pieces = []
    for start, end in pairwise(line):
        length = float(np.hypot(*(end - start)))
        for begin in np.arange(0.0, length, 2 * dash):
            part = np.array([begin, min(begin + dash, length)]) / length
            pieces.append(start + part[:, None] * (end - start))
    return pieces


Say = Callable[[Message], str]
"""Renders a message as text."""

FIELD_MM = (150.0, 115.0)
"""Size into which the outline, or the three views together, are fitted."""

MARGIN_MM = 10.0
LABEL_MM = 24.0
"""Space beside a view for its overall dimension."""

UNDER_MM = 20.0
"""Space below a view for its overall dimension and the centroid caption."""

GAP_MM = 12.0
"""Between two views."""

CAPTION_MM = 150.0
"""Minimum width of the sheet, so that the centroid caption fits."""

NUMBERED = 40
"""Largest number of outlines that are numbered and marked with their centroids."""

_DIMENSION = "#3a5a78"
_LEFT_OUT = "#8a5a20"
_CENTROID = "#a02020"


def draw_outline(regions: Sequence[Region], say: Say = str) -> Picture:
    """Draw outlines as seen from above, numbered in order, with overall dimensions and centroids.

    regions  at least one
    say      renders lengths and the caption as text
    """
    x0, y0, x1, y1 = bounds_of(regions)
    width, height = x1 - x0, y1 - y0
    scale = _scale(width, height)
    picture = Picture(MARGIN_MM * 2 + LABEL_MM + scale * width, MARGIN_MM * 2 + LABEL_MM + scale * height + 2 * TEXT_MM)
    frame = _Frame(MARGIN_MM + LABEL_MM, MARGIN_MM, scale, (x0, y0), height)
    # Flattened to 0.05 mm on paper; large outlines first, since an island lies over the hole around it.
    for region in sorted(regions, key=lambda region: -abs(region.outer.signed_area_m2)):
        picture.add(Area([frame.place(ring.flattened(0.05 / scale)) for ring in region.rings]))
    _overall(picture, frame, width, height, say)
    areas = np.array([region.area_m2 for region in regions])
    centroids = np.array([region.centroid_m for region in regions])
    together = areas @ centroids / areas.sum()
    few = len(regions) <= NUMBERED
    if len(regions) > 1 and few:
        for number, region in enumerate(regions, start=1):
            point = region.polygon(0.05 / scale).representative_point()
            x, y = frame.place(np.array([[point.x, point.y]]))[0].tolist()
            picture.add(Words(str(number), x, y))
    for at in frame.place(centroids if few else together[None]):
        _centroid(picture, at)
    x_m, y_m = (together - (x0, y0)).tolist()
    where = say(message("picture-centroid", count=len(regions), x_m=x_m, y_m=y_m))
    picture.add(Words(where, frame.left, picture.height - MARGIN_MM, "start", _CENTROID))
    return picture


@frozen(eq=False)
class PieceView:
    """One piece on a sheet, and its labels.

    region  in the coordinates of the sheet, m
    lines   its mark, then further lines of text
    edges   (number, midpoint, inward unit vector, length in m) of each numbered edge
    """

    region: Region
    lines: Sequence[str]
    edges: Sequence[tuple[str, tuple[float, float], tuple[float, float], float]] = ()


SHEET_MM = (250.0, 160.0)
"""Size into which a sheet of several pieces is fitted."""

MARK_MM, SMALL_MM = 4.2, 2.6
"""Letter height of marks, and of edge numbers."""

SHORTEST_MM = 5.0
"""Shortest edge on paper that is numbered."""

NARROW_MM = 9.0
"""Half width on paper below which a piece has its edge numbers outside."""

STRAY = 2.0
"""Distance from the pieces, as a multiple of their extent, beyond which left-out outlines are not drawn."""


def draw_pieces(
    views: Sequence[PieceView],
    left_out: Sequence[tuple[Ring, str]],
    notes: Sequence[str],
    size_mm: tuple[float, float] = SHEET_MM,
) -> Picture:
    """Draw the pieces of a sheet in place, with their marks and edge numbers.

    left_out  outlines that are not pieces, drawn as dashed lines, each with the reason
    notes     lines of text below
    size_mm   into which the pieces are fitted; the smaller, the larger is their text
    """
    x0, y0, x1, y1 = bounds_of([view.region for view in views])
    reach = STRAY * max(x1 - x0, y1 - y0)
    near = [
        (ring, why)
        for ring, why in left_out
        if ring.bounds[0] >= x0 - reach
        and ring.bounds[1] >= y0 - reach
        and ring.bounds[2] <= x1 + reach
        and ring.bounds[3] <= y1 + reach
    ]
    low = np.array([(x0, y0), *(ring.bounds[:2] for ring, _ in near)]).min(axis=0)
    high = np.array([(x1, y1), *(ring.bounds[2:] for ring, _ in near)]).max(axis=0)
    width, height = (high - low).tolist()
    scale = min(size_mm[0] / max(width, 1e-12), size_mm[1] / max(height, 1e-12))
    foot = 2 * MARGIN_MM + scale * height
    picture = Picture(
        max(2 * MARGIN_MM + scale * width, CAPTION_MM if notes else 0.0),
        foot + (1.6 * TEXT_MM) * len(notes) + MARGIN_MM,
    )
    frame = _Frame(MARGIN_MM, MARGIN_MM, scale, (float(low[0]), float(low[1])), height)
    for view in sorted(views, key=lambda view: -abs(view.region.outer.signed_area_m2)):
        picture.add(Area([frame.place(ring.flattened(0.05 / scale)) for ring in view.region.rings]))
    for ring, why in near:
        line = frame.place(ring.flattened(0.05 / scale))
        picture.add(Strokes([np.concatenate([line, line[:1]])], stroke=_LEFT_OUT, width=0.25, dash=1.6))
        x, y = line.min(axis=0).tolist()
        picture.add(Words(why, x + 1.0, y + 2.2, "start", _LEFT_OUT, SMALL_MM))
    for view in views:
        _write_on(picture, frame, view)
    for number, note in enumerate(notes):
        picture.add(Words(note, frame.left, foot + 1.6 * TEXT_MM * number, "start", "#404040"))
    return picture


def _write_on(picture: Picture, frame: _Frame, view: PieceView) -> None:
    """Label a piece: its mark in the middle, further lines below, and edge numbers inside (outside if it is narrow)."""
    area = view.region.polygon(0.05 / frame.scale)
    roomy = shapely.maximum_inscribed_circle(area).length * frame.scale >= NARROW_MM
    for number, middle, inward, length_m in view.edges:
        if length_m * frame.scale >= SHORTEST_MM:
            inset_mm = 2.6 if roomy else -2.2
            x, y = (frame.place(np.array([middle]))[0] + inset_mm * np.array([inward[0], -inward[1]])).tolist()
            picture.add(Words(number, x, y, "middle", _DIMENSION, SMALL_MM))
    x, y = frame.place(np.array([_roomy(area)]))[0].tolist()
    mark, *more = view.lines
    picture.add(Words(mark, x, y - (2.0 if more else 0.0), "middle", "#202020", MARK_MM))
    for row, line in enumerate(more):
        picture.add(Words(line, x, y + 2.4 + 3.4 * row, "middle", "#404040", SMALL_MM))


def _roomy(area: shapely.Polygon) -> tuple[float, float]:
    """Point of an area with room for text: its centroid, or the center of its largest inscribed circle."""
    circle = shapely.maximum_inscribed_circle(area)
    if area.contains(area.centroid) and area.boundary.distance(area.centroid) >= 0.8 * circle.length:
        return float(area.centroid.x), float(area.centroid.y)
    x, y = circle.coords[0]
    return float(x), float(y)


def draw_views(vertices: Floats, faces: Ints, centroid_m: tuple[float, float, float], say: Say = str) -> Picture:
    """Draw a mesh from the front, right and above, with overall dimensions and the centroid. Hidden edges are dashed.

    vertices    (v, 3), m
    faces       (n, 3) corners counterclockwise from outside
    centroid_m  centroid of the solid, in the coordinates of the vertices
    say         renders lengths, names and the caption as text

    The top view is above the front view, the right view is to its right.
    """
    low, high = vertices[np.unique(faces)].min(axis=0), vertices[np.unique(faces)].max(axis=0)
    length, width, height = (high - low).tolist()
    scale = _scale(length + width, height + width, GAP_MM)
    left, top = MARGIN_MM + LABEL_MM, MARGIN_MM + TEXT_MM
    under = top + scale * width + GAP_MM + TEXT_MM
    beside = left + scale * length + GAP_MM
    picture = Picture(
        max(beside + scale * width + MARGIN_MM, CAPTION_MM), under + scale * height + UNDER_MM + MARGIN_MM
    )
    center = np.array(centroid_m)
    for name, x, y, tall in (
        ("front", left, under, height),
        ("right", beside, under, height),
        ("top", left, top, width),
    ):
        view = VIEWS[name]
        frame = _Frame(x, y, scale, (float(low @ view.right), float(low @ view.up)), tall)
        seen, hidden = view_lines(vertices, faces, view)
        picture.add(Strokes([frame.place(line) for line in hidden], stroke="#9a9a9a", width=0.18, dash=1.2))
        picture.add(Strokes([frame.place(line) for line in seen]))
        picture.add(Words(say(message(f"picture-{name}")), x, y - TEXT_MM, "start", "#606060"))
        _centroid(picture, frame.place(np.array([[center @ view.right, center @ view.up]]))[0])
        if name == "front":
            _overall(picture, frame, length, height, say)
        elif name == "right":
            _across(picture, frame, width, say)
        else:
            _upright(picture, frame, width, say)
    x_m, y_m, z_m = (center - low).tolist()
    where = say(message("picture-centroid-3d", x_m=x_m, y_m=y_m, z_m=z_m))
    picture.add(Words(where, left, picture.height - MARGIN_MM, "start", _CENTROID))
    return picture


@frozen
class _Frame:
    """Position of a view on the sheet: upper left corner, mm, and scale, mm per m."""

    left: float
    top: float
    scale: float
    corner_m: tuple[float, float]  # lower left corner of the view, in the coordinates of the object
    height_m: float

    @property
    def bottom(self) -> float:
        return self.top + self.scale * self.height_m

    def place(self, points_m: Floats) -> Floats:
        """Convert points (n, 2) in m, y upward, to coordinates on the sheet."""
        scaled = (points_m - np.array(self.corner_m)) * self.scale
        return np.stack([self.left + scaled[:, 0], self.bottom - scaled[:, 1]], axis=1)


def _scale(width_m: float, height_m: float, gap_mm: float = 0.0) -> float:
    """Millimeters of paper per meter."""
    return min((FIELD_MM[0] - gap_mm) / max(width_m, 1e-12), (FIELD_MM[1] - gap_mm) / max(height_m, 1e-12))


def _overall(picture: Picture, frame: _Frame, width_m: float, height_m: float, say: Say) -> None:
    _across(picture, frame, width_m, say)
    _upright(picture, frame, height_m, say)


def _across(picture: Picture, frame: _Frame, width_m: float, say: Say) -> None:
    """Add the overall width below the view."""
    y, x0, x1 = frame.bottom + 8.0, frame.left, frame.left + frame.scale * width_m
    _dimension(picture, np.array([(x0, y), (x1, y)]), np.array([0.0, 1.0]), frame.bottom + 2.0 - y)
    picture.add(Words(say(message("figure-length", value_m=width_m)), (x0 + x1) / 2, y + TEXT_MM, "middle", _DIMENSION))


def _upright(picture: Picture, frame: _Frame, height_m: float, say: Say) -> None:
    """Add the overall height to the left of the view."""
    x, y0, y1 = frame.left - 8.0, frame.bottom, frame.bottom - frame.scale * height_m
    _dimension(picture, np.array([(x, y0), (x, y1)]), np.array([1.0, 0.0]), 6.0)
    picture.add(Words(say(message("figure-length", value_m=height_m)), x - 1.5, (y0 + y1) / 2, "end", _DIMENSION))


def _dimension(picture: Picture, line: Floats, direction: Floats, reach: float) -> None:
    """Add a dimension line with slashes at its ends and extension lines toward the object."""
    slash = np.array([(-0.9, 0.9), (0.9, -0.9)])
    extensions = [np.array([end - np.sign(reach) * direction, end + reach * direction]) for end in line]
    picture.add(Strokes([line, *(end + slash for end in line), *extensions], stroke=_DIMENSION, width=0.18))


def _centroid(picture: Picture, at: Floats) -> None:
    """Add a centroid mark, a cross in a circle."""
    turn = np.linspace(0, 2 * np.pi, 25)
    circle = at + 1.5 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    cross = [at + np.array([(-2.6, 0.0), (2.6, 0.0)]), at + np.array([(0.0, -2.6), (0.0, 2.6)])]
    picture.add(Strokes([circle, *cross], stroke=_CENTROID, width=0.25))
