"""The workshop and the client as the papers name them."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from estimator.intake import read_job
from tests.estimator.conftest import JOB

WriteJob = Callable[[str], Path]


def test_the_workshops_terms_stand_until_the_job_gives_its_own(write_job: WriteJob) -> None:
    assert len(read_job(write_job(JOB)).sound().business.terms) >= 3
    own = JOB + '\n[business]\nname = "Workshop"\nterms = ["Cash."]\n[client]\nname = "Inn"\n'
    job = read_job(write_job(own)).sound()
    assert (job.business.name, job.business.terms, job.client.name) == ("Workshop", ("Cash.",), "Inn")


def test_a_catalogs_logo_lies_beside_the_catalog(write_job: WriteJob, tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    Image.new("L", (4, 4), 0).save(tmp_path / "own/logo.png")
    (tmp_path / "own/catalog.toml").write_text('[business]\nlogo = "logo.png"\n')
    job = read_job(write_job(JOB.replace("[job]", '[job]\ncatalog = "own/catalog.toml"'))).sound()
    assert job.business.logo == (tmp_path / "own/logo.png").read_bytes()


@pytest.mark.parametrize(("name", "told"), [("gone.png", "no readable file"), ("job.toml", "no PNG or JPEG")])
def test_a_logo_that_is_no_picture_is_a_fault(write_job: WriteJob, name: str, told: str) -> None:
    faults = read_job(write_job(JOB + f'\n[business]\nlogo = "{name}"\n')).faults
    assert [fault.place for fault in faults] == ["business, logo"]
    assert told in faults[0].what
