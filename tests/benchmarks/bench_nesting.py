"""Boards on sheets: 50 random cut lists, their sheets against the fewest that any layout needs.

python -m tests.benchmarks.bench_nesting
"""

from __future__ import annotations

import time
from itertools import product
from math import ceil

from estimator.packaging.nesting import CUTS, FITS, Board, _by_area, _lay, nest
from tests.estimator.packaging.test_nesting import SHEET, jobs


def main() -> None:
    lists = list(jobs())
    began = time.process_time()
    layouts = [nest(tuple(boards), SHEET) for boards in lists]
    spent_s = time.process_time() - began
    began = time.process_time()
    before = [_by_one_order(boards) for boards in lists]
    before_s = time.process_time() - began
    sheets, bound = sum(layout.count for layout in layouts), sum(layout.fewest for layout in layouts)
    area = SHEET.length_m * SHEET.width_m
    used = sum(layout.board_area_m2 for layout in layouts) / area
    by_area = sum(ceil(layout.board_area_m2 / area) for layout in layouts)
    print(f"{len(lists)} cut lists, {sum(map(len, lists))} boards")
    print(f"sheets {sheets}, one order alone {sum(before)}; fewest {bound}, by area alone {by_area}")
    proven = sum(layout.proven for layout in layouts)
    print(f"proven {proven}; waste {1 - used / sheets:.1%}, least {1 - used / bound:.1%}")
    print(f"{spent_s:.2f} s, {spent_s / before_s:.1f} times one order alone")


def _by_one_order(boards: list[Board]) -> int:
    singles = sorted(boards, key=_by_area)
    return min(len(_lay(singles, SHEET, SHEET.length_m, SHEET.width_m, *rule)) for rule in product(FITS, CUTS))


if __name__ == "__main__":
    main()
