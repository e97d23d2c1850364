"""Names in one table that must stand in another: mixes, materials, sands, marks."""

from collections.abc import Iterable, Mapping
from typing import Any

from estimator.errors import Fault
from estimator.intake import schema
from estimator.intake.base import SHARES_TOLERANCE
from estimator.intake.build import WORKSHOP_PAYMENTS
from estimator.intake.faults import nearest
from estimator.intake.mix_schema import PART_FORMS, WATER
from estimator.intake.overlay import RawPiece
from estimator.intake.quote_schema import PriceTable
from estimator.names import first_spellings, folded

PAYMENT_FIGURES = ("deposit", "before_delivery", "on_install")
AGGREGATES = ("sand", "light-aggregate")
MIX_PARTS = {  # which kinds of material each part of a mix may name
    "cementitious": ("cement", "pozzolan"),
    "aggregate": ("sand", "light-aggregate"),
    "admixtures": ("admixture",),
    "polymer": ("polymer",),
    "pigment": ("pigment",),
    "fibre": ("fibre",),
}


def check_marks(pieces: Iterable[RawPiece], faults: list[Fault]) -> None:
    """Every piece mark is unique, since every sheet goes by it; a repeated one is told where it stands again."""
    by_mark: dict[str, list[RawPiece]] = {}
    for piece in pieces:
        if piece.mark is not None:
            by_mark.setdefault(folded(piece.mark), []).append(piece)
    for first, *others in by_mark.values():
        for piece in others[:1]:
            where = first.place if first.file == piece.file else f"{first.file}, {first.place}"
            repeated = (first.file, first.place) == (piece.file, piece.place)
            what = f"stands {len(others) + 1} times{'' if repeated else f', first in {where}'}."
            if first.mark != piece.mark:
                what += " Spaces and case don't make another mark."
            faults.append(Fault(piece.file, f"{piece.place}, mark", what, "Give each piece its own mark."))


def check_names(section: str, names: Iterable[str], file: str, faults: list[Fault]) -> None:
    """No two names of one table differ only in spaces, case, dashes or Unicode form."""
    for name, first in first_spellings(names).items():
        if name != first:
            what = f'is "{first}" in another spelling, and both stand in the job or its catalog.'
            faults.append(Fault(file, f"{section} {name}", what, f'Write "{first}", or give it a name of its own.'))


def check_mix(
    name: str,
    mix: Mapping[str, Any],
    kinds: Mapping[str, str],
    file: str,
    faults: list[Fault],
) -> None:
    """Each material exists and is of a kind that the part of the mix takes; the counted sand is settled.

    mix     as the file writes it, whatever else may be wrong with it
    kinds   the kind of each material by name
    """
    entry = f"mix {name}"
    for part, allowed in MIX_PARTS.items():
        for material in _names(mix.get(part)):
            if material not in kinds:
                faults.append(
                    Fault(file, f"{entry}, {part}", f'there is no material "{material}".', nearest(material, kinds))
                )
            elif kinds[material] not in allowed:
                faults.append(
                    Fault(
                        file,
                        f"{entry}, {part}.{material}",
                        f"is a {kinds[material]}, not a {' or '.join(allowed)}.",
                        "Move it to its own part of the mix, or correct its kind.",
                    )
                )
    for form in PART_FORMS:
        for material in _names(mix.get(form)):
            if material == WATER:
                continue
            if material not in kinds:
                faults.append(
                    Fault(file, f"{entry}, {form}", f'there is no material "{material}".', nearest(material, kinds))
                )
            elif kinds[material] in ("water", "consumable"):
                faults.append(
                    Fault(file, f"{entry}, {form}.{material}", f"is a {kinds[material]}.", "Leave it out of the mix.")
                )
    swap = mix.get("replacement")
    for key in ("sand", "bead"):
        named = swap.get(key) if isinstance(swap, dict) else None
        if isinstance(named, str) and named not in kinds:
            faults.append(
                Fault(file, f"{entry}, replacement.{key}", f'there is no material "{named}".', nearest(named, kinds))
            )
    parts = [each for form in PART_FORMS for each in _names(mix.get(form))]
    aggregate = [each for each in (*_names(mix.get("aggregate")), *parts) if kinds.get(each) in AGGREGATES]
    reference = mix.get("reference_sand")
    sands = [each for each in aggregate if kinds.get(each) == "sand"]
    if isinstance(reference, str) and kinds.get(reference) != "sand":
        known = [each for each, kind in kinds.items() if kind == "sand"]
        faults.append(
            Fault(
                file,
                f"{entry}, reference_sand",
                f'"{reference}" is not a sand.',
                nearest(reference, known),
            )
        )
    elif reference is None and aggregate and len(sands) != 1:
        held = "no sand" if not sands else "more than one sand"
        faults.append(
            Fault(
                file,
                f"{entry}, reference_sand",
                f"is missing: the mix has {held}, so which loose volume counts is open.",
                'Name the sand that is replaced, such as reference_sand = "silica-sand".',
            )
        )


def _names(blend: Any) -> list[str]:
    return list(blend) if isinstance(blend, dict) else []


def check_piece(
    entry: str,
    table: schema.PieceTable,
    job_mix: str | None,
    mixes: Iterable[str],
    file: str,
    faults: list[Fault],
) -> None:
    """The mixes of a piece exist."""
    known = list(mixes)
    if table.layers is not None:
        named = [(f"layers[{i}].mix", layer.mix) for i, layer in enumerate(table.layers)]
    elif table.mix is not None:
        named = [("mix", table.mix)]
    elif job_mix is not None:
        named = []
    else:
        faults.append(
            Fault(file, f"{entry}, mix", "names no mix, and the job has none.", "Add `mix` to the piece or to [job].")
        )
        return
    for key, mix in named:
        if mix not in known:
            faults.append(Fault(file, f"{entry}, {key}", f'there is no mix "{mix}".', nearest(mix, known)))


def check_payments(price: PriceTable, figures: Mapping[str, float], file: str, faults: list[Fault]) -> None:
    """The workshop's own three payment steps make up the total, where the job names none; what was received names one
    of the steps.
    """
    known = [step.name for step in price.payments] or [name for _, name, _ in WORKSHOP_PAYMENTS]
    for number, payment in enumerate(price.received, start=1):
        if payment.step is not None and payment.step not in known:
            place = f"price, received {number}, step"
            faults.append(
                Fault(file, place, f'there is no payment step "{payment.step}".', nearest(payment.step, known))
            )
    steps = {key: figures.get(f"quote.{key}", 0.0) for key in PAYMENT_FIGURES}
    whole = sum(steps.values())
    if not price.payments and abs(whole - 1.0) > SHARES_TOLERANCE:
        faults.append(
            Fault(
                file,
                "workshop.quote",
                f"the payment steps {', '.join(f'{key} {share:g}' for key, share in steps.items())} sum to {whole:.4g} "
                "of the total, not 1.",
                "Change one of them.",
            )
        )
