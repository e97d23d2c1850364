"""The forms of a job: of what, how many over the job, from which boards, and what each cast bears of them.

Board is bought with the consumables, by form area, and its cost stands there. What stands under forms is the rest:
rubber or laminate, hardware, and the concrete of samples. So nothing is counted twice, and both are told together by
the cast.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from estimator.job import Job, Piece
from estimator.money import ZERO, cents, total
from estimator.notices import Notice
from estimator.packaging.consumables import ConsumableOrder, order_amount
from estimator.packaging.cut_list import boards_of, fitted
from estimator.packaging.forms import FORM_BOARD, FORM_MATERIAL, Board, FormSet, Nesting, Sheet, form_set, nest
from estimator.supplies import FormKind
from estimator.takeoff import PieceTakeoff

MOST_BOARDS = 150  # laid on sheets one by one; a longer list is ordered by its area and laid by the saw's own program


@dataclass(frozen=True, slots=True)
class MarkForms:
    """The forms of one mark.

    form_area_m2   of one cast
    boards         of one form, cut to the sheet; none where the shape is not built of boards, or the form of another
                   material
    material_kg    rubber or laminate of all forms built, waste in
    """

    mark: str
    kind: FormKind
    uses: int
    set: FormSet
    form_area_m2: float
    boards: tuple[Board, ...]
    material_kg: float
    hardware: Decimal

    @property
    def board_area_m2(self) -> float:
        """Of the boards of all forms built."""
        return self.set.built * sum(board.count * board.length_m * board.width_m for board in self.boards)


@dataclass(frozen=True, slots=True)
class FormPlan:
    marks: tuple[MarkForms, ...]
    sheet: Sheet
    nesting: Nesting | None  # None: no boards, or too many to lay one by one
    materials: tuple[ConsumableOrder, ...]  # what forms of rubber and laminate are made of
    warnings: tuple[Notice, ...]

    @property
    def hardware(self) -> Decimal:
        return total(each.hardware for each in self.marks)

    @property
    def sheets_m2(self) -> float:
        return self.nesting.count * self.sheet.length_m * self.sheet.width_m if self.nesting else 0.0

    def cost_by_mark(self) -> dict[str, Decimal]:
        """What each mark bears of the forms, board apart: its hardware, and its part of the material by mass."""
        made = {order.name: order for order in self.materials}
        found = {}
        for each in self.marks:
            order = made.get(FORM_MATERIAL.get(each.kind, ""))
            part = ZERO
            if order is not None and order.cost is not None and order.required:
                part = cents(order.cost * each.material_kg / order.required)
            found[each.mark] = each.hardware + part
        return found


def form_of(piece: Piece, figures: Mapping[str, float]) -> tuple[FormKind, int]:
    """What a piece is cast in, and how many casts a form of it stands."""
    kind = piece.form.kind or "melamine"
    return kind, piece.form.uses or max(1, int(figures[f"forms.uses_{kind.replace('-', '_')}"]))


def forms_built(piece: Piece, figures: Mapping[str, float]) -> int:
    """Forms built for a mark over the job, renewals in."""
    return form_set(piece.quantity, piece.forms, form_of(piece, figures)[1]).built


def plan_forms(job: Job, parts: Sequence[PieceTakeoff]) -> FormPlan:
    """Forms by mark, the cut list on sheets, and what other forms are made of, in whole packs.

    Raises PackagingError for a form material that is not sold by mass.
    """
    figures = job.workshop.figures
    sheet = Sheet(figures["forms.sheet_length"], figures["forms.sheet_width"], figures["forms.kerf"])
    marks = tuple(_forms_of(taken, job, sheet) for taken in parts)
    boards = [replace(board, count=board.count * each.set.built) for each in marks for board in each.boards]
    number = sum(board.count for board in boards)
    needed: dict[str, float] = {}
    for each in marks:
        if each.kind in FORM_MATERIAL:
            name = FORM_MATERIAL[each.kind]
            needed[name] = needed.get(name, 0.0) + each.material_kg
    area_m2 = sum(each.set.built * each.form_area_m2 for each in marks)
    materials = tuple(
        order_amount(
            name,
            "form-area",
            area_m2,
            "kg",
            required_kg,
            job.materials[name].packs,
            job.stock_consumables.get(name, 0.0),
        )
        for name, required_kg in needed.items()
    )
    warnings = []
    if number > MOST_BOARDS:
        text = f"forms: {number} boards are too many to lay one by one; sheets are ordered by area."
        warnings.append(Notice("boards-not-nested", text))
    return FormPlan(
        marks, sheet, nest(boards, sheet) if 0 < number <= MOST_BOARDS else None, materials, tuple(warnings)
    )


def _forms_of(taken: PieceTakeoff, job: Job, sheet: Sheet) -> MarkForms:
    figures, piece = job.workshop.figures, taken.piece
    kind, uses = form_of(piece, figures)
    made = form_set(piece.quantity, piece.forms, uses)
    area_m2 = taken.solid.form_area_m2
    boards: tuple[Board, ...] = ()
    material_kg = 0.0
    if kind in FORM_MATERIAL:
        density = job.materials[FORM_MATERIAL[kind]].density_kg_m3 or 0.0
        thickness_m = figures[f"forms.thickness_{kind.replace('-', '_')}"]
        material_kg = made.built * area_m2 * thickness_m * density * (1.0 + figures["forms.material_waste"])
    elif FORM_BOARD in job.workshop.consumables:
        boards = fitted(boards_of(piece.shape, piece.mark, figures["forms.board_thickness"]), sheet)
    each = figures[f"forms.hardware_{kind.replace('-', '_')}"]
    hardware = cents(made.built * each)
    return MarkForms(piece.mark, kind, uses, made, area_m2, boards, material_kg, hardware)
