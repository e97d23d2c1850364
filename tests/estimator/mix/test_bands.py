"""Low and high of a prediction: first-order propagation against drawing the assumptions at random."""

from dataclasses import replace

import numpy as np
import pytest

from estimator.job import Material, Mix
from estimator.mix.bands import Assumption, assumptions_of, bands, batch_of


def test_propagation_agrees_with_drawing_the_assumptions_at_random(shelf: dict[str, Material], back_mix: Mix):
    damp = shelf | {"sand": replace(shelf["sand"], moisture=0.04)}
    found = bands(back_mix, damp, coverage=1.0)
    batch = batch_of(back_mix, damp)
    assumptions = assumptions_of(batch)
    random = np.random.default_rng(20250101)
    drawn = []
    for _ in range(3000):
        one = batch
        for assumption in assumptions:
            value = random.normal(assumption.assumed, assumption.deviation)
            one = one.assuming(assumption, max(value, assumption.least))
        made = one.made
        drawn.append((made.fresh_density_kg_m3, made.oven_dry_density_kg_m3, made.volume_m3 / batch.made.volume_m3))
    fresh, dry, volume = np.array(drawn).T
    for samples, band in (
        (fresh, found.fresh_density_kg_m3),
        (dry, found.oven_dry_density_kg_m3),
        (volume, found.yield_m3_per_m3),
    ):
        deviation = 0.5 * (band.high - band.low)
        # 3,000 draws know a deviation to 1.3 % (one standard error); curvature adds a little.
        assert samples.std() == pytest.approx(deviation, rel=0.06)
        assert samples.mean() == pytest.approx(band.best, abs=0.15 * deviation)


def test_no_assumption_is_moved_to_where_no_batch_can_be(shelf: dict[str, Material], back_mix: Mix):
    for one in assumptions_of(batch_of(back_mix, shelf)):
        assert 0.0 <= one.least <= one.assumed - 2.0 * one.deviation, one.key
        if one.figure in ("density", "bulk_density"):
            assert one.least == pytest.approx(0.1 * one.assumed)


def test_a_band_of_air_alone_is_air_over_the_rest(shelf: dict[str, Material], back_mix: Mix):
    # First principles: density is (1 - air) times the air-free one, so its deviation is that share of it.
    air = Assumption("air", "", 0.04, 0.01, 0.0)
    found = bands(back_mix, shelf, [air]).fresh_density_kg_m3
    air_free = found.best / 0.96
    assert found.high - found.best == pytest.approx(2.0 * 0.01 * air_free, rel=1e-9)
    assert found.best - found.low == pytest.approx(2.0 * 0.01 * air_free, rel=1e-9)
    assert found.parts == {"air": pytest.approx(1.0)}


def test_parts_show_which_assumption_the_band_depends_on(shelf: dict[str, Material], back_mix: Mix):
    found = bands(back_mix, shelf)
    for band in (found.fresh_density_kg_m3, found.installed_density_kg_m3, found.yield_m3_per_m3):
        assert sum(band.parts.values()) == pytest.approx(1.0)
        assert list(band.parts.values()) == sorted(band.parts.values(), reverse=True)
        assert band.low < band.best < band.high
    heavy = bands(replace(back_mix, aggregate={"sand": 1.0}), shelf)
    assert not any(key.startswith("materials.bead") for key in heavy.fresh_density_kg_m3.parts)


def test_beads_by_bucket_make_their_packing_count_and_by_scale_their_bulk(shelf: dict[str, Material], back_mix: Mix):
    """By bucket a lighter bead fills the same space; by scale it is more beads, and more space."""
    by_bucket = bands(back_mix, shelf).yield_m3_per_m3.parts
    by_scale = bands(back_mix, shelf, by_bucket=frozenset()).yield_m3_per_m3.parts
    assert by_bucket["materials.bead.bulk_density"] == pytest.approx(0.0, abs=1e-9)
    assert by_scale["materials.bead.bulk_density"] > 0.3


def test_a_prediction_without_uncertainty_has_no_width(shelf: dict[str, Material], back_mix: Mix):
    found = bands(back_mix, shelf, []).fresh_density_kg_m3
    assert found.low == found.best == found.high
    assert found.parts == {}
