"""Limits are set in catalogs, a job cannot raise its own, and each refusal names the option that does."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import ezdxf
import pytest

from estimator.__main__ import run
from estimator.intake.documents import built_in_catalog
from geometry.files import Limits, limits

JOB = """
[job]
name = "Terrace"
units = "metric"
mix = "backer-45"
{head}
[[piece]]
mark = "A"
{piece}
"""
SLAB = 'quantity = {quantity}\nshape = {{ kind = "slab", length = "1 m", width = "500 mm", thickness = "20 mm" }}'


def job(folder: Path, head: str = "", piece: str = "", rest: str = "") -> Path:
    path = folder / "job.toml"
    path.write_text(JOB.format(head=head, piece=piece or SLAB.format(quantity=2)) + rest)
    return path


def table(rows: int, columns: int = 0) -> str:
    head = "mark,shape.kind,shape.length,shape.width,shape.thickness" + "".join(f",c{n}" for n in range(columns))
    return "\n".join([head, *(f"P{n},slab,1 m,500 mm,20 mm" + ",x" * columns for n in range(rows))])


def scheduled(folder: Path) -> Path:
    (folder / "a.csv").write_text(table(12))
    return job(folder, rest='[[schedule]]\nfile = "a.csv"\n')


def wide(folder: Path) -> Path:
    (folder / "a.csv").write_text(table(2, 12))
    return job(folder, rest='[[schedule]]\nfile = "a.csv"\n')


def drawn(folder: Path) -> Path:
    document = ezdxf.new("R2000", units=4)
    for n in range(12):
        document.modelspace().add_circle((n * 10, 0), 4)
    document.saveas(folder / "a.dxf")
    return job(folder, piece='shape = { kind = "outline", file = "a.dxf", item = 1, thickness = "20 mm" }')


def nested(folder: Path) -> Path:
    inner = "GEOMETRYCOLLECTION(" * 12 + "POLYGON((0 0, 9 0, 9 9, 0 0))" + ")" * 12
    (folder / "a.wkt").write_text(inner)
    shape = '{ kind = "outline", file = "a.wkt", unit = "m", thickness = "20 mm" }'
    return job(folder, piece=f"shape = {shape}")


def packed(folder: Path, blanks: int = 25_000_000) -> Path:
    with zipfile.ZipFile(folder / "a.3mf", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", b" " * blanks)
    return job(folder, piece='shape = { kind = "mesh", file = "a.3mf" }')


def many(folder: Path) -> Path:
    return job(folder, piece=SLAB.format(quantity=300))


def fails(capsys: pytest.CaptureFixture[str], *call: object) -> str:
    assert run([str(part) for part in call]) == 2
    out, said = capsys.readouterr()
    assert out == ""
    assert said.count("\n") == 1, said
    return said


@pytest.mark.parametrize(
    ("write", "name", "most", "found"),
    [
        (scheduled, "rows", 9, "more than 9 rows"),
        (wide, "columns", 9, "columns"),
        (drawn, "parts", 9, "12 parts"),
        (nested, "levels", 9, "9 levels"),
        (packed, "unpacked_mb", 9, "25 MB"),
        (packed, "unpacked_ratio", 9, "times its size"),
        (many, "count", 200, "is 300"),
    ],
)
def test_a_refusal_names_the_limit_the_value_found_and_the_option(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], write: Callable[[Path], Path], name: str, most: int, found: str
) -> None:
    path = write(tmp_path)
    said = fails(capsys, "check", path, "--limit", f"{name}={most}")
    assert found in said
    assert f"{most}" in said
    option = re.search(rf"--limit ({name}=\d+)", said)
    assert option, said
    run(["check", str(path), "--limit", option[1]])
    assert f"--limit {name}" not in capsys.readouterr().err, "the option named is enough"


def test_a_shop_sets_limits_in_its_catalog_and_the_command_line_overrides_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = scheduled(tmp_path)
    path.write_text(path.read_text().replace('name = "Terrace"', 'name = "Terrace"\ncatalog = "shop.toml"'))
    (tmp_path / "shop.toml").write_text("[limits]\nrows = 9\n")
    assert "more than 9 rows" in fails(capsys, "check", path)
    assert run(["--limit", "rows=20", "check", str(path)]) == 0
    assert limits() == Limits(), "the next run starts afresh"
    capsys.readouterr()
    (tmp_path / "shop.toml").write_text("[limits]\nrow = 9\n")
    assert "limits, row" in fails(capsys, "check", path)
    (tmp_path / "shop.toml").write_text('[limits]\nrows = "many"\n')
    assert "whole number from 1" in fails(capsys, "check", path)


def test_a_job_cannot_raise_its_own_limits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "--limit NAME=NUMBER" in fails(capsys, "check", job(tmp_path, rest="[limits]\nrows = 9\n"))


@pytest.mark.parametrize(
    "value", ["rows", "rows=", "rows=-1", "rows=1.5", "rows=0", "rows=" + "9" * 30, "row=9", "levels=5000"]
)
def test_an_unknown_limit_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str], value: str) -> None:
    assert "--limit" in fails(capsys, "check", job(tmp_path), f"--limit={value}")


def test_the_limits_in_code_are_those_of_the_catalog():
    assert built_in_catalog()["limits"] == asdict(Limits())
