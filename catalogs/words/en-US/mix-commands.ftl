# `mix` and `compare` on the terminal, and their tables.

mix-water-stages = Water: { $first } first, { $later } held back.
mix-spread = Most of the spread ({ $part_share }) comes from { $part }. Weigh a known volume to narrow it.
