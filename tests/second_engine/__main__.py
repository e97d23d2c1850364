"""Compares the program with the second engine on many random jobs, and prints the result."""

import argparse
import os
import sys
import time

os.environ["CAST_ESTIMATOR_CACHE"] = "off"

from tests.second_engine.compare import run


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.second_engine", description=__doc__)
    parser.add_argument("--jobs", type=int, default=1000)
    parser.add_argument("--first", type=int, default=0, help="number of the first job")
    options = parser.parse_args()
    began = time.process_time()
    outcome = run(range(options.first, options.first + options.jobs))
    for difference in outcome.differences:
        print(difference)
    print(
        f"{outcome.jobs} jobs, {outcome.figures} figures, {len(outcome.differences)} differ; "
        f"{outcome.refused} refused by both; {time.process_time() - began:.0f} s"
    )
    return 1 if outcome.differences else 0


sys.exit(main())
