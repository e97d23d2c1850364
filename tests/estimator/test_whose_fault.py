"""Only our own error types are faults of the input; anything else is a fault of the program."""

import importlib
import pkgutil
import sys
from pathlib import Path

import pytest

import estimator
import geometry
from estimator import load_job
from estimator.__main__ import run
from estimator.errors import FaultError, InputError, at_key

SLAB = 'shape = { kind = "slab", length = "1200 mm", width = "600 mm", thickness = "25 mm" }\n'
JOB = f'[job]\nname = "Shelf"\nmix = "backer-45"\nunits = "metric"\n[[piece]]\nmark = "A"\n{SLAB}'


def test_there_is_one_tree_of_errors() -> None:
    found = {
        kind.__name__: kind.__mro__[1].__name__
        for package in (estimator, geometry)
        for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
        if not info.name.endswith("__main__") and "migrations" not in info.name  # run inside their own tool
        for kind in vars(importlib.import_module(info.name)).values()
        if isinstance(kind, type) and issubclass(kind, Exception) and kind.__module__ == info.name
    }
    own = ("ConflictError", "ReleasedError", "TooLargeError")  # answers of the shop page, caught within it
    assert found == {"FaultError": "ValueError", "InputError": "ValueError"} | dict.fromkeys(own, "Exception")


@pytest.mark.parametrize("stage", ["weigh_all", "plan_all"])
def test_an_error_of_the_language_is_not_blamed_on_the_user(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], stage: str
) -> None:
    def broken(*_: object) -> None:
        _one, _two = ()

    (tmp_path / "job.toml").write_text(JOB)
    monkeypatch.setattr(sys.modules["estimator.estimate"], stage, broken)
    monkeypatch.delenv("CAST_ESTIMATOR_DEBUG", raising=False)
    assert run(["estimate", str(tmp_path / "job.toml")]) == 1
    assert "Internal error (not your job file). ValueError: not enough values" in capsys.readouterr().err


def test_a_check_of_a_piece_passes_on_errors_that_are_not_its_own() -> None:
    with pytest.raises(ValueError, match="not enough values") as found, at_key("handling.picks"):
        _unpack(())
    assert not isinstance(found.value, FaultError)


def _unpack(values: tuple[object, ...]) -> object:
    first, _second = values
    return first


def test_a_mix_swapped_by_mass_with_damp_sand_is_estimated(tmp_path: Path) -> None:
    mix = (
        "[mixes.damp]\ncementitious_share = 0.5\ncementitious = { white-cement = 1.0 }\nair = 0.04\n"
        "aggregate = { silica-sand = 1.0 }\nwater_cementitious = 0.35\n"
        'replacement = { share = 0.5, bead = "coated-eps-bead", by = "mass" }\n'
        "[materials.silica-sand]\nmoisture = 0.05\n"
    )
    path = tmp_path / "job.toml"
    path.write_text(JOB.replace("backer-45", "damp") + mix)
    assert load_job(path).mixes["damp"].replaced_by == "mass"
    assert run(["check", str(path)]) == 0


def test_a_fault_that_a_stage_finds_names_the_file_that_holds_its_key(tmp_path: Path) -> None:
    pack = '{ name = "sack", mass = "94 lb", price = 30, pallet_price = 900 }'
    (tmp_path / "shop.toml").write_text(f"[materials.white-cement]\npacks = [{pack}]\n", encoding="utf-8")
    shop = JOB.replace('units = "metric"', 'units = "metric"\ncatalog = "shop.toml"')
    (tmp_path / "job.toml").write_text(shop, encoding="utf-8")
    with pytest.raises(InputError) as found:
        estimator.estimate(load_job(tmp_path / "job.toml"))
    assert [fault.file for fault in found.value.faults] == ["shop.toml"]
    (tmp_path / "job.toml").write_text(f"{JOB}[materials.white-cement]\npacks = [{pack}]\n", encoding="utf-8")
    with pytest.raises(InputError) as found:
        estimator.estimate(load_job(tmp_path / "job.toml"))
    assert [fault.file for fault in found.value.faults] == ["job.toml"]
