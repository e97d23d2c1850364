"""The boards of a form, from the shape that is cast in it: faces, edges, returns, knock-outs.

Sizes are those of the concrete's faces, the bottom board larger by the boards that stand round it. Curves are strips
of thin board bent along them; a shape that no boards make (a mesh, a bowl) has no cut list, only its form area.
"""

from math import ceil, hypot, pi

from estimator.packaging.forms import FIT_TOLERANCE_M, Board, Sheet
from geometry import shapes

MOST_STRIPS = 24  # a profile of more straight parts is a curve, for which board is bent rather than cut


def boards_of(shape: shapes.Shape, name: str, board_m: float) -> tuple[Board, ...]:
    """Boards of one form; none where the shape is not built of boards.

    name     the piece mark, which the boards' names begin with
    board_m  thickness of the board
    """
    match shape:
        case shapes.Slab():
            return _slab(shape, name, board_m)
        case shapes.Outline(wall_m=None):
            x0, y0, x1, y1 = shape.region.bounds
            rings = [shape.region.outer, *shape.region.holes]
            strips = [
                _strip(f"{name} edge {n}", ring.perimeter_m, shape.thickness_m) for n, ring in enumerate(rings, 1)
            ]
            return (
                _bottom(name, x1 - x0, y1 - y0, board_m),
                *strips,
                *_knock_outs(shape.cutouts, name, shape.thickness_m),
            )
        case shapes.Panel():
            return _panel(shape, name, board_m)
        case shapes.Box():
            return _box(shape, name, board_m)
        case shapes.Extrusion(wall_m=None):
            return _extrusion(shape, name)
        case _:
            return ()


def fitted(boards: tuple[Board, ...], sheet: Sheet) -> tuple[Board, ...]:
    """The boards, those larger than the sheet in equal parts that it gives."""
    room = sorted((sheet.length_m - 2 * sheet.trim_m, sheet.width_m - 2 * sheet.trim_m))
    found = []
    for board in boards:
        long, short = max(board.length_m, board.width_m), min(board.length_m, board.width_m)
        across = ceil(short / room[0] - FIT_TOLERANCE_M)
        along = ceil(long / room[1] - FIT_TOLERANCE_M)
        parts = along * across
        if parts == 1:
            found.append(board)
        else:
            found.append(
                Board(f"{board.name}, 1 of {parts}", long / along, short / across, board.count * parts, board.turns)
            )
    return tuple(found)


def _bottom(name: str, length_m: float, width_m: float, board_m: float) -> Board:
    return Board(f"{name} bottom", length_m + 2 * board_m, width_m + 2 * board_m)


def _strip(name: str, length_m: float, height_m: float, count: int = 1) -> Board:
    return Board(name, length_m, height_m, count)


def _slab(slab: shapes.Slab, name: str, board_m: float) -> tuple[Board, ...]:
    drops = {side: drop for drop in slab.drop_edges for side in drop.sides}
    edge_m = slab.thickness_m if slab.taper is None else max(slab.thickness_m, slab.taper.thickness_m)
    boards = [_bottom(name, slab.length_m, slab.width_m, board_m)]
    for side in ("front", "back", "left", "right"):
        along_x = side in ("front", "back")
        run_m = slab.length_m + 2 * board_m if along_x else slab.width_m
        drop = drops.get(side)
        boards.append(_strip(f"{name} {side} edge", run_m, drop.height_m if drop else edge_m))
        if drop is not None:
            inner_m = slab.length_m if along_x else slab.width_m
            boards.append(_strip(f"{name} {side} drop, inside", inner_m, drop.height_m - slab.thickness_m))
    return (*boards, *_knock_outs(slab.cutouts, name, slab.thickness_m))


def _panel(panel: shapes.Panel, name: str, board_m: float) -> tuple[Board, ...]:
    turned = {side: each for each in panel.returns for side in each.sides}
    boards = [_bottom(name, panel.length_m, panel.height_m, board_m)]
    for side in ("bottom", "top", "left", "right"):
        along_x = side in ("bottom", "top")
        run_m = panel.length_m + 2 * board_m if along_x else panel.height_m
        back = turned.get(side)
        boards.append(_strip(f"{name} {side} edge", run_m, back.depth_m if back else panel.skin_m))
        if back is not None:
            inner_m = panel.length_m if along_x else panel.height_m
            boards.append(_strip(f"{name} {side} return, inside", inner_m, back.depth_m - panel.skin_m))
    for opening in panel.openings:
        boards += _knock_outs((opening.cutout,), name, opening.depth_m or panel.skin_m)
    return tuple(boards)


def _box(box: shapes.Box, name: str, board_m: float) -> tuple[Board, ...]:
    """Four walls and a bottom round it, and the core of five boards where it is open."""
    length_m, width_m, wall_m = box.length_m, box.width_m, box.wall_m
    inner_x, inner_y = length_m - 2 * wall_m, width_m - 2 * wall_m
    inner_z = box.height_m - box.base_m
    boards = [
        _bottom(name, length_m, width_m, board_m),
        _strip(f"{name} long side", length_m + 2 * board_m, box.height_m, 2),
        _strip(f"{name} short side", width_m, box.height_m, 2),
    ]
    if box.open and min(inner_x, inner_y, inner_z) > 0.0:
        boards += [
            Board(f"{name} core top", inner_x, inner_y),
            _strip(f"{name} core long side", inner_x, inner_z, 2),
            _strip(f"{name} core short side", inner_y, inner_z, 2),
        ]
    return tuple(boards)


def _extrusion(moulding: shapes.Extrusion, name: str) -> tuple[Board, ...]:
    """A board along each straight part of the profile, the ends not counted."""
    outer = moulding.profile.outer
    if outer.bulges is not None:
        return ()
    sides = [hypot(float(dx), float(dy)) for dx, dy in outer.ends - outer.points]
    sides = [side for side in sides if side > FIT_TOLERANCE_M]
    if len(sides) > MOST_STRIPS:
        return ()
    return tuple(_strip(f"{name} side {n}", moulding.length_m, side) for n, side in enumerate(sides, 1))


def _knock_outs(cutouts: tuple[shapes.Cutout, ...], name: str, height_m: float) -> list[Board]:
    """The strip round each opening, as high as the piece is thick there."""
    strips = []
    for number, cutout in enumerate(cutouts, 1):
        match cutout:
            case shapes.CircleCutout():
                run_m = pi * cutout.diameter_m
            case shapes.EllipseCutout():
                a, b = cutout.length_m / 2, cutout.width_m / 2
                run_m = pi * (3 * (a + b) - ((3 * a + b) * (a + 3 * b)) ** 0.5)  # Ramanujan's first; within 0.5 %
            case shapes.OutlineCutout():
                run_m = cutout.region.outer.perimeter_m
            case shapes.RectangleCutout():
                run_m = 2 * (cutout.length_m + cutout.width_m) - (8 - 2 * pi) * cutout.radius_m
        height = max(height_m, cutout.rim_thickness_m or 0.0)
        strips.append(_strip(f"{name} knock-out {number}", run_m, height))
    return strips
