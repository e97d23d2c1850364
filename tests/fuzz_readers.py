"""Damaged drawings, meshes, tables and job files: each is read, or refused in one line; never an internal error.

python -m tests.fuzz_readers --inputs 2000 --seed 16
python -m tests.fuzz_readers --inputs 5000 --only solid.step --forks   # each in a fork of one warm process (POSIX)
"""

from __future__ import annotations

import argparse
import os
import resource
import warnings
import zipfile
from collections import Counter
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import replace
from importlib import import_module
from importlib.util import find_spec
from io import BytesIO, StringIO
from math import inf
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from unittest.mock import patch

import ezdxf
import numpy as np
import openpyxl
import trimesh
import xlwt
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from estimator import InputError, load_job
from estimator.intake.cells import open_cells
from geometry.errors import FaultError
from geometry.files import InputFile, Paper
from geometry.mesh_file import read_mesh
from geometry.readers.drawing import read_drawing
from geometry.readers.pieces import read_pieces

MM = 0.001
SLOW_S = 1.0


def _dxf() -> bytes:
    document = ezdxf.new("R12", units=0)
    block = document.blocks.new("part")
    block.add_circle((5, 5), 3)
    space = document.modelspace()
    for start, end in (((0, 0), (90, 0)), ((90, 0), (90, 40)), ((90, 40), (0, 40)), ((0, 40), (0, 0))):
        space.add_line(start, end)
    space.add_blockref("part", (10, 10), dxfattribs={"column_count": 2, "column_spacing": 30})
    document.write(text := StringIO())
    return text.getvalue().encode()


def _pieces() -> bytes:
    """Two marked pieces in a border, one mark an attribute of a block."""
    document = ezdxf.new("R12", units=0)
    document.blocks.new("label").add_attdef("MARK", (0, 0))
    space = document.modelspace()
    for x, y, width, height in ((-9, -9, 130, 70), (0, 0, 40, 30), (5, 5, 10, 10), (60, 0, 40, 30)):
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        space.add_polyline2d(corners, close=True)
    space.add_text("C1", dxfattribs={"height": 2}).set_placement((20, 20))
    space.add_blockref("label", (70, 9)).add_attrib("MARK", "C2", (70, 9))
    document.write(text := StringIO())
    return text.getvalue().encode()


def _archive(name: str, content: bytes) -> bytes:
    with zipfile.ZipFile(
        packed := BytesIO(), "w"
    ) as archive:  # stored uncompressed, so that damage reaches its content
        archive.writestr(name, content)
    return packed.getvalue()


def _threemf() -> bytes:
    box = trimesh.creation.box((30, 20, 10))
    points = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in box.vertices)
    facets = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in box.faces)
    return _archive(
        "3D/3dmodel.model",
        f'<model unit="millimeter"><resources><object id="1" type="model"><mesh><vertices>{points}</vertices>'
        f'<triangles>{facets}</triangles></mesh></object><object id="2"><components><component objectid="1"/>'
        '<component objectid="1" transform="1 0 0 0 1 0 0 0 1 60 0 0"/></components></object></resources>'
        '<build><item objectid="2"/></build></model>'.encode(),
    )


def _gltf() -> bytes:
    box = trimesh.Scene(trimesh.creation.box((0.03, 0.02, 0.01)))
    box.add_geometry(trimesh.creation.box((0.03, 0.02, 0.01)), transform=np.diag([1, -1, 2, 1]) + np.eye(4, k=3) / 10)
    return bytes(box.export(file_type="glb"))


def _workbook(kind: str) -> bytes:
    rows = [["mark", "quantity", "shape.length (mm)"], ["A", 2, 1200.5], ["B", 1, 900]]
    if kind == "xls":
        old = xlwt.Workbook()
        sheet = old.add_sheet("Tops")
        for at, row in enumerate(rows):
            for column, value in enumerate(row):
                sheet.write(at, column, value, xlwt.easyxf(num_format_str='0" mm"'))
        old.save(packed := BytesIO())
    else:
        book = openpyxl.Workbook()
        for row in rows:
            book.worksheets[0].append(row)
        book.worksheets[0]["C2"].number_format = '0.0" mm"'
        book.save(whole := BytesIO())
        with zipfile.ZipFile(whole) as old_parts, zipfile.ZipFile(packed := BytesIO(), "w") as parts:  # stored
            for name in old_parts.namelist():
                parts.writestr(name, old_parts.read(name))
    return packed.getvalue()


def _ods() -> bytes:
    spaces = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "table", "text")
    )
    head = "".join(f"<table:table-cell><text:p>{name}</text:p></table:table-cell>" for name in ("mark", "shape.length"))
    return _archive(
        "content.xml",
        f"<office:document-content {spaces}><office:body><office:spreadsheet><table:table table:name='Tops'>"
        f"<table:table-row>{head}</table:table-row><table:table-row table:number-rows-repeated='2'><table:table-cell "
        "office:value-type='string'><text:p>A</text:p></table:table-cell><table:table-cell office:value-type='float' "
        "office:value='1200.5'><text:p>1.200,5 mm</text:p></table:table-cell></table:table-row></table:table>"
        "</office:spreadsheet></office:body></office:document-content>".encode(),
    )


def _mesh(kind: str) -> bytes:
    content = trimesh.creation.box((30, 20, 10)).export(file_type=kind)
    return content.encode() if isinstance(content, str) else bytes(content)


SHEET, MODEL = "xl/worksheets/sheet1.xml", "3D/3dmodel.model"
"""Parts of archives that are damaged before they are packed, where a checksum would show it."""


def packed_with(archive: bytes, name: str, content: bytes) -> bytes:
    """An archive with other content in one part."""
    with zipfile.ZipFile(BytesIO(archive)) as before, zipfile.ZipFile(changed := BytesIO(), "w") as after:
        for part in before.namelist():
            after.writestr(part, content if part == name else before.read(part))
    return changed.getvalue()


def part_of(archive: bytes, name: str) -> bytes:
    with zipfile.ZipFile(BytesIO(archive)) as parts:
        return parts.read(name)


WORKBOOK, PACKAGE = _workbook("xlsx"), _threemf()
SEEDS = {
    "plan.dxf": _dxf(),
    "pieces.dxf": _pieces(),
    "pieces.svg": b'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="40mm" viewBox="0 0 90 40">'
    b'<rect width="90" height="40"/><g id="top" transform="translate(5 5)"><rect width="30" height="20"/>'
    b'<circle cx="20" cy="10" r="3"/><text x="3" y="6" font-size="4">C1<tspan x="3" dy="5">top</tspan></text></g>'
    b'<rect x="50" y="5" width="20" height="9"/><text transform="rotate(4) translate(54 6)">'
    b'<tspan x="0" y="0">C2</tspan></text></svg>',
    "plan.svg": b'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="40mm" viewBox="0 0 90 40"><style>.old '
    b'{ display: none }</style><defs><g id="a"><path d="M2 2 C9 2 9 9 2 9 Z"/></g></defs><rect width="90" height="40"'
    b' rx="3"/><g class="old"><circle r="3"/></g><use href="#a" x="20" y="9"/><switch><circle cx="60" cy="20" r="7"/>'
    b"</switch></svg>",
    "plan.geojson": b'{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {"layer": "top"},'
    b' "geometry": {"type": "Polygon", "coordinates": [[[0, 0], [90, 0], [90, 40], [0, 40], [0, 0]], [[9, 9], [20, 9],'
    b" [20, 20], [9, 9]]]}}]}",
    "plan.wkt": b"POLYGON ((0 0, 90 0, 90 40, 0 40, 0 0), (9 9, 20 9, 20 20, 9 9))",
    "plan.csv": b"outline,x,y,bulge\nA,0,0,0\nA,90,0,0.5\nA,90,40,0\nA,0,40,0\nB,9,9,0\nB,20,9,1\nB,20,20,0\n",
    "plan.txt": b"Point\tX (mm)\tY (mm)\tZ (mm)\n1\t0\t0\t0,1\n2\t90\t0\t0\n3\t90\t40,5\t0,1\n4\t0\t40,5\t0\n",
    "box.stl": _mesh("stl"),
    "text.stl": _mesh("stl_ascii"),
    "box.obj": b"".join(b"v %g %g %g\n" % tuple(p) for p in trimesh.creation.box((30, 20, 10)).vertices)
    + b"".join(b"f %d %d %d\n" % tuple(f) for f in trimesh.creation.box().faces - 8),
    "box.ply": _mesh("ply"),
    "box.3mf": PACKAGE,
    "box.glb": _gltf(),
    "table.txt": "mark\tquantity\tshape.length (mm)\r\nA\t2\t1200,5\r\nB\t1\t900\r\n".encode("utf-16"),
    "table.ods": _ods(),
    "table.xlsx": WORKBOOK,
    "table.xls": _workbook("xls"),
    "sheet.xml": part_of(WORKBOOK, SHEET),
    "model.xml": part_of(PACKAGE, MODEL),
    "schedule.csv": b"mark,quantity,shape.kind,shape.length,shape.width,shape.thickness,note\n"
    b'P1,2,slab,"6 ft 3-1/2 in",25.5 in,3/4 in,"by the ""door"""\nP2,1,slab,1.2 m,600 mm,20 mm,\n',
    "job.toml": b"""[job]
name = "Caf\xc3\xa9"
units = "metric"
mix = "m"
start = 2026-03-02
[[piece]]
mark = "A"
quantity = 2
shape = { kind = "slab", length = "1.2 m", width = '600 mm', thickness = "20 mm", cutouts = [{ kind = "circle", \
diameter = "3 in", x = "300 mm", y = "300 mm" }] }
inserts = [{ name = "frame", mass = "5 kg", at = ["36 in", "0.3 m", "10 mm"] }]
[mixes.m]
based_on = "backer-45"
air = 0.05
[materials.silica-sand]
moisture = "2 %"
[price]
margin = 0.3
[stock]
white-cement = "60 lb"
""".replace(b"\\\n", b""),
}
"""A small valid file for each reader."""

NATIVE = {"page.pdf": ("pypdfium2", "pypdf"), "solid.step": ("OCP",), "model.3dm": ("rhino3dm",), "book.xls": ("xlrd",)}
"""Files that are read in a process of their own each, and the modules that must be here."""

NATIVE_SHARE = 20
"""One damaged file of these for so many of the others: each costs the start of a process."""


def native_seeds(only: str | None = None) -> dict[str, bytes]:
    """A small valid file for each of these readers whose library is here, or for one of them."""
    made = {"page.pdf": _pdf, "solid.step": _step, "model.3dm": _threedm, "book.xls": lambda: _workbook("xls")}
    wanted = {name: modules for name, modules in NATIVE.items() if only in (None, name)}
    return {name: made[name]() for name, modules in wanted.items() if all(map(find_spec, modules))}


def _pdf() -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(content := BytesIO(), pagesize=(300, 200), pageCompression=0)
    canvas.beginForm("part")
    canvas.circle(20, 20, 5)
    canvas.endForm()
    canvas.rect(10, 10, 90, 40)
    canvas.doForm("part")
    canvas.drawString(60, 20, "C1")
    canvas.save()
    return content.getvalue()


def _step() -> bytes:
    from tests.geometry.readers.test_step import box, write

    with TemporaryDirectory() as folder:
        return write(Path(folder) / "solid.step", box(30, 20, 10)).read_bytes()


def _threedm() -> bytes:
    from tests.geometry.readers.test_threedm import cube, model, plate

    made = model()
    made.Objects.AddMesh(cube(30.0, (50.0, 0.0, 0.0)))
    made.Objects.AddExtrusion(plate())
    with TemporaryDirectory() as folder:
        made.Write(f"{folder}/model.3dm", 8)
        return Path(folder, "model.3dm").read_bytes()


EDITS = st.lists(
    st.tuples(
        st.sampled_from(["flip", "set", "cut", "drop", "repeat", "swell"]),
        st.floats(0, 1, exclude_max=True),
        st.integers(1, 40),
        st.sampled_from(b"\x00\xff0159-+.eE<>&\"'()[]{},; \nnN/#_"),
    ),
    min_size=1,
    max_size=4,
)


def damaged(content: bytes, edits: list[tuple[str, float, int, int]]) -> bytes:
    """A file with bytes flipped, set, cut off, dropped, repeated or multiplied."""
    for kind, where, length, byte in edits:
        at = int(where * len(content))
        part = content[at : at + length]
        if kind == "flip" and part:
            content = content[:at] + bytes([part[0] ^ (1 << length % 8)]) + content[at + 1 :]
        elif kind == "set":
            content = content[:at] + bytes([byte]) + content[at + 1 :]
        elif kind == "cut":
            content = content[:at]
        elif kind == "drop":
            content = content[:at] + content[at + length :]
        elif kind == "repeat":
            content = content[:at] + part * length + content[at + length :]
        elif kind == "swell":
            content = content[:at] + bytes([byte]) * (length * 50) + content[at:]
    return content


def outcome(name: str, content: bytes) -> str:
    """Outcome of a file: "read" or "refused". Raises any other error, and AssertionError for a missing figure."""
    if name == "sheet.xml":
        name, content = "table.xlsx", packed_with(WORKBOOK, SHEET, content)
    if name == "model.xml":
        name, content = "box.3mf", packed_with(PACKAGE, MODEL, content)
    file = InputFile(name, content)
    try:
        if name == "job.toml":
            return job_outcome(content)
        if name.startswith("schedule"):
            return schedule_outcome(name, content)
        if name.startswith("plan"):
            drawing: Any = read_drawing(file, unit_m=MM)
            assert 0 < drawing.area_m2 < inf
        elif name.startswith("pieces"):
            pieces = read_pieces(file, MM, unmarked="number").pieces
            assert all(0 < piece.region.area_m2 < inf for piece in pieces)
            assert pieces
        elif name == "page.pdf":
            assert 0 < read_drawing(replace(file, paper=Paper(20.0))).area_m2 < inf
        elif name.startswith("table"):
            with patch("geometry.apart._in_child", True):  # a process for each would take a hundred times as long
                assert_text(file)
        elif name == "book.xls":
            assert_text(file)
        else:
            mesh = read_mesh(file, None if name.endswith(("3mf", "glb", "step", "3dm")) else MM)
            assert 0 < mesh.volume_m3 < inf
    except FaultError as refused:
        return "refused" if "\n" not in str(refused) else f"refused in many lines: {refused}"
    return "read"


def outcome_in_fork(name: str, content: bytes) -> str:
    """`outcome`, in a fork of this process, which has the library loaded: as hostile to it, without its start.

    A crash, or a limit of time or memory, is "ended": the program makes one refusal of it.
    """
    answer, report = os.pipe()
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_CPU, (20, 25))
        resource.setrlimit(resource.RLIMIT_AS, (FORK_BYTES, FORK_BYTES))
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        with patch("geometry.apart._in_child", True):
            try:
                became = outcome(name, content)
            except MemoryError:
                os._exit(1)
            except BaseException as error:
                became = f"fault {type(error).__name__}: {str(error)[:100]}"
        os.write(report, became.encode())
        os._exit(0)
    os.close(report)
    with os.fdopen(answer, "rb") as said:
        became = said.read().decode()
    os.waitpid(child, 0)
    if became.startswith("fault "):
        raise AssertionError(became)
    return became or "ended"


FORK_BYTES = 8 << 30  # of addresses, of which the libraries alone take some


def assert_text(file: InputFile) -> None:
    """Reads all cells of a table, and checks that each holds a text."""
    assert all(isinstance(cell.text, str) for _, row in open_cells(file, None, "mark").rows for cell in row)


def job_outcome(content: bytes, folder: Path | None = None) -> str:
    """Outcome of a job file, up to its first figures."""
    with nullcontext(folder) if folder else TemporaryDirectory() as place:
        path = Path(place) / "job.toml"
        path.write_bytes(content)
        try:
            job = load_job(path)
        except InputError as refused:
            many = [fault for fault in refused.faults if "\n" in str(fault)]
            return f"refused in many lines: {many[0]}" if many else "refused"
    assert all(0 < piece.shape.solid().volume_m3 < inf for piece in job.pieces)
    return "read"


def schedule_outcome(name: str, content: bytes) -> str:
    """Outcome of a piece schedule, read as the pieces of a job."""
    job = b'[job]\nname = "Hall"\nunits = "metric"\nmix = "backer-45"\n[[schedule]]\nfile = "%s"\nunit = "mm"\n'
    with TemporaryDirectory() as place:
        (Path(place) / name).write_bytes(content)
        return job_outcome(job % name.encode(), Path(place))


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--inputs", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=16)
    parser.add_argument("--only", help="kind of file, such as plan.dxf")
    parser.add_argument("--forks", action="store_true", help="native readers in forks of one process")
    asked = parser.parse_args()
    warnings.simplefilter("ignore")
    np.seterr(all="ignore")
    seeds = SEEDS | native_seeds(asked.only)
    sound = []
    for name in [asked.only] if asked.only else seeds:
        fewer = NATIVE_SHARE if name in NATIVE and not asked.only else 1
        in_fork = asked.forks and name in NATIVE
        for module in NATIVE[name] if in_fork else ():
            import_module(module)
        attempt = outcome_in_fork if in_fork else outcome
        sound.append(fuzz(name, seeds[name], max(1, asked.inputs // fewer), asked.seed, attempt))
    raise SystemExit(0 if all(sound) else 1)


def processor_s() -> float:
    """Processor time of this process and of the children it has waited for, s."""
    return sum(os.times()[:4])


def fuzz(name: str, whole: bytes, inputs: int, start: int, attempt: Callable[[str, bytes], str] = outcome) -> bool:
    """Damage one file many times and print the outcomes; whether each was read or refused in one line."""
    seen: Counter[str] = Counter()
    faults: dict[str, bytes] = {}
    times = [0.0]

    @seed(start)
    @settings(
        max_examples=inputs,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(edits=EDITS)
    def run(edits: Any) -> None:
        content = damaged(whole, edits)
        began = processor_s()
        try:
            seen[attempt(name, content)] += 1
        except Exception as error:
            seen["fault"] += 1
            faults.setdefault(f"{type(error).__name__}: {str(error)[:100]}", content)
        times.append(processor_s() - began)
        seen["slow"] += times[-1] > SLOW_S

    run()
    print(f"{name:13} {dict(seen)}, slowest {max(times):.2f} s", flush=True)
    for said, content in faults.items():
        print(f"    {said}\n    {content[:300]!r}")
    return set(seen) <= {"read", "refused", "slow", "ended"}


if __name__ == "__main__":
    main()
