"""`cast-estimator mix coupons`: what flexural coupons show of a mix, coupon by coupon and pour by pour."""

import sys
from collections.abc import Mapping
from pathlib import Path

from estimator.commands.mixes import open_bench, writing
from estimator.document import to_json
from estimator.errors import Fault, InputError
from estimator.intake.mix_build import with_coupons
from estimator.intake.shelf import read_coupons
from estimator.job import Material, Mix, Units
from estimator.mix.faults import MixError
from estimator.mix.replacement import replaced_share, swap_pair
from estimator.mix_facts import strengths_of
from estimator.report.mix_sheets import coupon_sheet, strength_sheet
from estimator.report.mix_words import BREAKING, FIRST_CRACK, TO_COUNT_ON, UNTESTED
from estimator.report.terminal import print_sheets
from estimator.serialize import plain


def run(
    names: list[str] | None,
    job: Path | None,
    file: Path | None,
    plot: Path | None,
    units: Units | None,
    *,
    as_json: bool,
) -> None:
    """Prints the tests of the mixes named, of all that have any where none is."""
    bench = open_bench(job, units)
    mixes = [bench.mix(name) for name in names] if names else [m for m in bench.shelf.mixes.values() if m.coupons]
    if file is not None:
        if len(mixes) != 1:
            raise InputError([Fault("--file", "", "is of one mix.", "Name it: mix coupons NAME --file coupons.csv.")])
        faults: list[Fault] = []
        rows = read_coupons(file, file.name, mixes[0].name, Fault("--file", "", ""), faults)
        if faults:
            raise InputError(faults)
        mixes = [with_coupons(mixes[0], rows)]
    if not mixes:
        fix = "Name a mix, or add [[mixes.NAME.coupons]] to the job."
        raise InputError([Fault(bench.file, "", "no mix of it has coupons.", fix)])
    shares = {mix.name: _dosage(mix, bench.shelf.materials) for mix in mixes}
    if plot is not None:
        from estimator.report.strength_plot import write_strength_plot

        with writing(plot):
            write_strength_plot(plot, mixes, shares, bench.words)
    if as_json:
        sys.stdout.write(
            to_json(
                {
                    "mixes": [
                        {
                            "name": mix.name,
                            "replacement": shares[mix.name],
                            "coupons": [
                                {
                                    "pour": each.pour,
                                    "age_d": each.age_d,
                                    "face_up": each.face_up,
                                    "limit_of_proportionality_pa": each.limit_pa,
                                    "modulus_of_rupture_pa": each.rupture_pa,
                                }
                                for each in mix.coupons
                            ],
                            "sets": [plain(each) for each in strengths_of(mix)],
                            "first_crack_strength_pa": mix.first_crack_strength_pa,
                            "first_crack_age_d": mix.first_crack_age_d,
                        }
                        for mix in mixes
                    ]
                }
            )
        )
        return
    sheets = [coupon_sheet(mix, bench.words) for mix in mixes]
    sheets.append(strength_sheet([(mix, shares[mix.name], strengths_of(mix)) for mix in mixes], bench.words))
    notes = [f"{mix.name}: {UNTESTED}." for mix in mixes if mix.first_crack_strength_pa is None]
    notes += [
        f"{mix.name}, pour {each.pour}, {each.age_d:g} days: {text}."
        for mix in mixes
        for each in strengths_of(mix)
        for text in each.shortcomings
    ]
    notes.append(f"In the books' words: {FIRST_CRACK}; {BREAKING}; {TO_COUNT_ON}.")
    notes.append("Design on first crack: the breaking strength of glass-fibre concrete falls toward it with age.")
    print_sheets("Flexural coupons, third-point bending (ASTM C947)", sheets, notes)


def _dosage(mix: Mix, materials: Mapping[str, Material]) -> float | None:
    """Share of the sand that beads stand in for; None for a mix without the two."""
    try:
        sand, bead = swap_pair(mix, materials)
    except MixError:
        return None
    return replaced_share(mix, sand, bead)
