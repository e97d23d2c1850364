"""Messages: a hint for the likely slip, close names only, one line per fault."""

from estimator.intake.read import read_job

HEAD = "mark,quantity,shape.kind,shape.length,shape.width,shape.thickness\n"


def reading(folder, keys="", file="pieces.csv"):
    path = folder / "job.toml"
    path.write_text(
        f'[job]\nname = "cells"\nunits = "metric"\nmix = "face"\n[[schedule]]\nfile = "{file}"\n{keys}\n',
        encoding="utf-8",
    )
    return read_job(path)


def of_csv(folder, row, keys="", head=HEAD):
    (folder / "pieces.csv").write_text(head + row + "\n", encoding="utf-8")
    return reading(folder, keys)


def lines(read):
    return [str(fault) for fault in read.faults]


def test_an_unknown_column_is_reported_once(tmp_path):
    row = "P1,1,slab,900 mm,600 mm,20 mm,x\nP2,1,slab,900 mm,600 mm,20 mm,y"
    (line,) = lines(of_csv(tmp_path, row, head=HEAD.strip() + ",quantty\n"))
    assert line == 'pieces.csv: column "quantty": is not known. Did you mean `quantity`?'


def test_an_unknown_key_of_a_shape_and_a_column_without_a_name_are_reported_once(tmp_path):
    row = "P1,1,slab,900 mm,600 mm,20 mm,1,x\nP2,1,slab,900 mm,600 mm,20 mm,2,y"
    assert lines(of_csv(tmp_path, row, head=HEAD.strip() + ",shape.thicknes\n")) == [
        'pieces.csv: column "shape.thicknes": is not known. Did you mean `thickness`?',
        "pieces.csv: column 8: has no name, but row 2 fills it. Name the column in the head row, or clear it.",
    ]


def test_a_mistake_beside_curly_quotes_within_a_text_keeps_its_own_message(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text('[job]\nname = "the “big” one" 3\n', encoding="utf-8")
    (line,) = lines(read_job(path))
    assert "curly" not in line
    assert "line 2" in line


def test_a_mistake_beside_an_escaped_character_keeps_its_own_message(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text('[job]\nname = "two\\nlines" 3\n', encoding="utf-8")
    (line,) = lines(read_job(path))
    assert "backslash" not in line


def test_a_path_with_a_backslash_at_its_end_gets_a_hint_about_backslashes(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text('[job]\nname = "C:\\jobs\\"\n', encoding="utf-8")
    (line,) = lines(read_job(path))
    assert "backslash" in line


def test_a_text_that_is_not_closed_is_told_as_that(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text('[job]\nname = "Vanity top\nmix = "backer-45"\n', encoding="utf-8")
    assert lines(read_job(path)) == [
        "job.toml: line 2: A text is not closed. Add the missing quote at the end of the text."
    ]


def test_a_catalog_material_with_a_typo_is_suggested(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text('[job]\nname = "Top"\nmix = "backer-45"\n[materials.white-cemnt]\nprice = 3\n', encoding="utf-8")
    assert (
        "job.toml: material white-cemnt: is not in the catalog. A new material needs a `kind`. "
        "Did you mean `white-cement`?"
    ) in lines(read_job(path))
