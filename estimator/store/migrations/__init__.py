"""Migrations of the store, run in their order when it is opened."""
