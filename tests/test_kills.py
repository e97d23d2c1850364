"""A few of the kills of `python -m tests.kills`."""

import os
from pathlib import Path

import pytest

from tests.kills import survive

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="writers are forked")


@pytest.mark.filterwarnings("ignore:.*multi-threaded.*:DeprecationWarning")
def test_a_kill_at_any_moment_loses_nothing(tmp_path: Path) -> None:
    assert survive(tmp_path, 9, seed=5).total() == 9
