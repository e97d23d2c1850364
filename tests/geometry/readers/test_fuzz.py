"""Files damaged at random: the short form of `python -m tests.fuzz_readers`."""

import warnings

import pytest
from hypothesis import HealthCheck, given, settings

from tests.fuzz_readers import EDITS, NATIVE, SEEDS, damaged, native_seeds, outcome


@pytest.mark.parametrize("name", SEEDS)
def test_the_undamaged_seed_is_read(name):
    assert outcome(name, SEEDS[name]) == "read"


@pytest.mark.parametrize("name", SEEDS)
def test_a_damaged_file_is_read_or_refused(name):
    @settings(max_examples=60, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(edits=EDITS)
    def run(edits):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            assert outcome(name, damaged(SEEDS[name], edits)) in ("read", "refused")

    run()


@pytest.mark.parametrize("name", NATIVE)
def test_a_damaged_file_of_a_native_reader_is_read_or_refused(name):
    for module in NATIVE[name]:
        pytest.importorskip(module)
    whole = native_seeds()[name]
    assert outcome(name, whole) == "read"

    @settings(max_examples=3, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(edits=EDITS)
    def run(edits):
        assert outcome(name, damaged(whole, edits)) in ("read", "refused")

    run()
