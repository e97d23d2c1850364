"""Shop and client, as named on the papers."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from estimator.intake import read_job
from estimator.job import QuoteTerm
from geometry.files import packaged
from tests.estimator.conftest import JOB

WriteJob = Callable[[str], Path]


def test_the_shops_terms_apply_until_the_job_gives_its_own(write_job: WriteJob) -> None:
    assert len(read_job(write_job(JOB)).sound().business.terms) >= 3
    own = JOB + '\n[business]\nname = "Workshop"\nterms = ["Cash."]\n[client]\nname = "Inn"\n'
    job = read_job(write_job(own)).sound()
    assert (job.business.name, job.business.terms, job.client.name) == ("Workshop", (QuoteTerm("Cash."),), "Inn")


def test_the_logo_of_a_catalog_lies_beside_the_catalog(write_job: WriteJob, tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    Image.new("L", (4, 4), 0).save(tmp_path / "own/logo.png")
    (tmp_path / "own/catalog.toml").write_text('[business]\nlogo = "logo.png"\n')
    job = read_job(write_job(JOB.replace("[job]", '[job]\ncatalog = "own/catalog.toml"'))).sound()
    assert job.business.logo == (tmp_path / "own/logo.png").read_bytes()


@pytest.mark.parametrize(("name", "told"), [("gone.png", "no readable file"), ("job.toml", "not a PNG or JPEG")])
def test_a_logo_that_is_no_picture_is_refused(write_job: WriteJob, name: str, told: str) -> None:
    faults = read_job(write_job(JOB + f'\n[business]\nlogo = "{name}"\n')).faults
    assert [fault.place for fault in faults] == ["business, logo"]
    assert told in faults[0].what


def test_a_term_may_apply_to_some_uses_only(write_job: WriteJob) -> None:
    own = JOB + '\n[business]\nterms = ["Cash.", { text = "Use trivets.", uses = ["counter"] }]\n'
    job = read_job(write_job(own)).sound()
    assert job.business.terms == (QuoteTerm("Cash."), QuoteTerm("Use trivets.", ("counter",)))
    (fault,) = read_job(write_job(own.replace('["counter"]', '["counters"]'))).faults
    assert fault.place.startswith("business, terms")


@pytest.mark.parametrize("key", ["license", "licence"])
@pytest.mark.parametrize("color", ["color", "colour"])
def test_license_and_color_are_read_in_either_spelling(write_job: WriteJob, key: str, color: str) -> None:
    own = JOB + f'\n[business]\n{key} = "C-29"\ntax_number = "88-1"\n{color} = "#1F5C6B"\n'
    business = read_job(write_job(own)).sound().business
    assert (business.license, business.tax_number, business.color) == ("C-29", "88-1", "#1F5C6B")


@pytest.mark.parametrize(
    ("line", "place", "id"),
    [
        ('color = "teal"', "business, color", "business-color-not-hex"),
        ('color = "#FFFFF0"', "business, color", "business-color-too-pale"),
        ('font = "gone.ttf"', "business, font", "business-file-not-readable"),
        ('font = "job.toml"', "business, font", "business-font-not-truetype"),
        ('font_bold = "plain.ttf"', "business, font_bold", "business-font-bold-alone"),
    ],
)
def test_a_color_or_font_that_cannot_be_printed_is_refused_in_one_line(
    write_job: WriteJob, tmp_path: Path, line: str, place: str, id: str
) -> None:
    (tmp_path / "plain.ttf").write_bytes(FONT)
    (fault,) = read_job(write_job(JOB + f"\n[business]\n{line}\n")).faults
    assert (fault.place, fault.message.id) == (place, id)


FONT = packaged("estimator.report.papers", "fonts/DejaVuSansCondensed.ttf")


def test_the_font_of_the_shop_is_read(write_job: WriteJob, tmp_path: Path) -> None:
    (tmp_path / "own.ttf").write_bytes(FONT)
    business = read_job(write_job(JOB + '\n[business]\nfont = "own.ttf"\n')).sound().business
    assert business.fonts == (FONT, FONT)


def test_names_for_the_papers_are_read(write_job: WriteJob) -> None:
    own = JOB.replace("[job]", '[job]\nnumber = "Q-14"') + (
        '\n[client]\ncontact = ["A. Miller"]\n[scope]\nexcluded = ["Removal of counters"]\n'
        '[receiving]\naddress = ["Rear gate"]\nhours = "7 am to 3 pm"\n'
        '[[supplier]]\nname = "north yard"\naddress = ["Quarry road"]\naccount = "A-1"\norder_number = "PO-9"\n'
    )
    job = read_job(write_job(own)).sound()
    yard = job.suppliers["north yard"]
    assert (job.number, job.client.contact, job.scope.excluded) == ("Q-14", ("A. Miller",), ("Removal of counters",))
    assert (job.receiving.address, job.receiving.hours) == (("Rear gate",), "7 am to 3 pm")
    assert (yard.address, yard.account, yard.order_number) == (("Quarry road",), "A-1", "PO-9")


@pytest.mark.parametrize(
    ("lines", "place", "text"),
    [
        ('[price]\nshow = "piece"', "price, show", "Did you mean `pieces`?"),
        ("[price.tax_rates]\ninstallation = 7", "price, tax_rates.installation", "write 0.07"),
        ("[price.tax_rates]\nlabor = 0", "price, tax_rates.labor", "installation"),
        ('[scope]\nexclude = ["a"]', "scope, exclude", "Did you mean `excluded`?"),
        ('[scope]\nincluded = "one"', "scope, included", "in brackets"),
        ('[client]\ncontact = "A"', "client, contact", "in brackets"),
        ('[[supplier]]\nname = "a"\naccount = 5', "supplier a, account", "in quotes"),
    ],
)
def test_a_slip_in_the_names_for_the_papers_is_refused_in_one_line(
    write_job: WriteJob, lines: str, place: str, text: str
) -> None:
    (fault,) = read_job(write_job(f"{JOB}\n{lines}\n")).faults
    assert fault.place == place
    assert text in str(fault)
    assert "\n" not in str(fault)
