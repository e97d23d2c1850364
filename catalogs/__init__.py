"""Data only: generic materials, packs, example mixes, workshop defaults and cautions, as TOML."""
