"""Settings of all tests."""

import os

from hypothesis import settings

os.environ["CAST_ESTIMATOR_CACHE"] = "off"  # no test finds what another, or its user, left behind

# The run of a clean checkout tries the same examples each time, so that it fails for what was changed and not by
# chance; on a desk new ones are tried every time, and what they find becomes a test of its own.
settings.register_profile("checkout", derandomize=True)
settings.register_profile("long", max_examples=1200)
if os.environ.get("CI"):
    settings.load_profile("checkout")
