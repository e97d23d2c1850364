"""Settings of all tests."""

import os

from hypothesis import settings

os.environ["CAST_ESTIMATOR_CACHE"] = "off"  # no test reads what another test, or a user, left behind

# A clean checkout tries the same examples each time, so that it fails because of a change and not by chance. On a
# desk new examples are tried every time, and what they find becomes a test of its own.
settings.register_profile("checkout", derandomize=True)
settings.register_profile("long", max_examples=1200)
if os.environ.get("CI"):
    settings.load_profile("checkout")
